"""Channelday's web app and command line, around the solver."""
