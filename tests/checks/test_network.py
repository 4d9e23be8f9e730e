"""Tests reach this machine and nothing else."""

import socket
import warnings

import pytest
from pytest_socket import SocketConnectBlockedError

# An address set aside for documentation (RFC 5737): even without the block nothing is there.
ELSEWHERE = ("192.0.2.1", 80)


def test_another_machine_cannot_be_reached() -> None:
    with socket.socket() as outward, warnings.catch_warnings():
        warnings.simplefilter("ignore")
        outward.settimeout(1)
        with pytest.raises(SocketConnectBlockedError):
            outward.connect(ELSEWHERE)


def test_this_machine_can_be_reached() -> None:
    with socket.socket() as listener, socket.socket() as caller:
        listener.bind(("127.0.0.1", 0))
        listener.listen()
        caller.connect(listener.getsockname())
