"""A socket to serve on."""

import errno
import socket

LOOPBACK_HOST = "127.0.0.1"
TRIES = 20


def listen(host: str, port: int, tries: int = TRIES) -> socket.socket | None:
    """A socket that listens at the port, or at the next one that is free; None where none of them is.

    Raises OSError where the host is none of this machine's.
    """
    family, *_, address = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
    for candidate in range(port, min(port + tries, 65536)):
        listener = socket.socket(family)
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listener.bind((address[0], candidate))
            listener.listen()
        except PermissionError:
            listener.close()
            return None
        except OSError as error:
            listener.close()
            if error.errno == errno.EADDRNOTAVAIL:
                raise
            continue
        return listener
    return None
