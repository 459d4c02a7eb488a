"""The commands of ``channelday``, one file each."""
