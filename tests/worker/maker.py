"""A browser with its keys, and its maker's server on this machine, which takes messages and cannot read them."""

import base64
import struct
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.ciphers.aead import AESGCM
from cryptography.hazmat.primitives.kdf.hkdf import HKDF
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat

SECRET = bytes(range(16))


def in_base64url(raw: bytes) -> str:
    return base64.urlsafe_b64encode(raw).rstrip(b"=").decode()


def from_base64url(text: str) -> bytes:
    return base64.urlsafe_b64decode(text + "=" * (-len(text) % 4))


def raw_public(key: ec.EllipticCurvePublicKey) -> bytes:
    return key.public_bytes(Encoding.X962, PublicFormat.UncompressedPoint)


@dataclass(frozen=True)
class FakeBrowser:
    """A subscriber. ``read`` is RFC 8291, section 3.4, with RFC 8188, section 2, from the reader's end."""

    secret: bytes = SECRET
    private: ec.EllipticCurvePrivateKey = field(
        default_factory=lambda: ec.generate_private_key(ec.SECP256R1())
    )

    @property
    def keys(self) -> dict[str, str]:
        """What it says of itself when it subscribes."""
        public = raw_public(self.private.public_key())
        return {"p256dh": in_base64url(public), "auth": in_base64url(self.secret)}

    def read(self, body: bytes) -> bytes:
        """What a message says. Raises ``InvalidTag`` for one that is not for this browser."""
        salt, record_size, id_length = body[:16], struct.unpack("!L", body[16:20])[0], body[20]
        sender, sealed = body[21 : 21 + id_length], body[21 + id_length :]
        assert len(sealed) <= record_size
        mine = raw_public(self.private.public_key())
        shared = self.private.exchange(
            ec.ECDH(), ec.EllipticCurvePublicKey.from_encoded_point(ec.SECP256R1(), sender)
        )
        key_info = b"WebPush: info\x00" + mine + sender
        start = _derived(shared, self.secret, key_info, 32)
        key = _derived(start, salt, b"Content-Encoding: aes128gcm\x00", 16)
        nonce = _derived(start, salt, b"Content-Encoding: nonce\x00", 12)
        record = AESGCM(key).decrypt(nonce, sealed, None)
        text, end, padding = record.rpartition(b"\x02")
        assert end
        assert padding.strip(b"\x00") == b""
        return text


def _derived(secret: bytes, salt: bytes, info: bytes, length: int) -> bytes:
    return HKDF(hashes.SHA256(), length, salt, info).derive(secret)


@dataclass
class Maker:
    """The maker's server: answers with ``status`` and keeps what was posted."""

    url: str
    status: int = 201
    retry_after: str = ""
    posted: list[tuple[str, dict[str, str], bytes]] = field(default_factory=list)


@contextmanager
def open_maker() -> Iterator[Maker]:
    """Run one on a free port of this machine."""

    class Handler(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            body = self.rfile.read(int(self.headers["Content-Length"]))
            headers = {name.lower(): value for name, value in self.headers.items()}
            maker.posted.append((self.path, headers, body))
            self.send_response(maker.status)
            if maker.retry_after:
                self.send_header("Retry-After", maker.retry_after)
            self.send_header("Content-Length", "0")
            self.end_headers()

        def log_message(self, *_words: object) -> None:
            """Tests print nothing."""

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    maker = Maker(f"http://127.0.0.1:{server.server_address[1]}/send/1")
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.02})
    thread.start()
    try:
        yield maker
    finally:
        server.shutdown()
        thread.join()
        server.server_close()
