"""A message for one browser, as it goes out: hidden from who carries it (RFC 8291) and signed by us (RFC 8292)."""

import base64
from dataclasses import dataclass

from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import (
    Encoding,
    NoEncryption,
    PrivateFormat,
    PublicFormat,
    load_pem_private_key,
)
from webpush import WebPush
from webpush.types import WebPushSubscription

from api.db.models import PushSubscription
from api.settings import Settings

_TOKEN_LASTS_S = 12 * 60 * 60
"""At most 24 hours (RFC 8292, section 2)."""

_KEY_BYTES = 32


class KeysDoNotMatch(Exception):
    """The two keys in the settings are no pair."""


@dataclass(frozen=True, slots=True)
class Sealed:
    """The body of the request to a browser's address, and its headers."""

    body: bytes
    headers: dict[str, str]


def seal(
    settings: Settings, subscription: PushSubscription, payload: bytes, *, lasts_s: int
) -> Sealed:
    """Encrypt ``payload`` for a browser. ``lasts_s``: how long its maker keeps it while the browser is off.

    Raises ``ValueError`` when the browser's key is no point of the curve, ``KeysDoNotMatch`` for the settings'.
    """
    private_pem, public_pem = _pair(settings)
    sealer = WebPush(
        private_pem, public_pem, settings.push_contact, ttl=lasts_s, expiration=_TOKEN_LASTS_S
    )
    asked = {
        "endpoint": subscription.endpoint,
        "keys": {"p256dh": subscription.p256dh, "auth": subscription.auth},
    }
    made = sealer.get(payload, WebPushSubscription.model_validate(asked))
    return Sealed(made.encrypted, dict(made.headers))


def _pair(settings: Settings) -> tuple[bytes, bytes]:
    """The settings' keys in PEM, as the library takes them."""
    number = int.from_bytes(_decoded(settings.push_private_key.get_secret_value()))
    private = ec.derive_private_key(number, ec.SECP256R1())
    public = private.public_key()
    raw = public.public_bytes(Encoding.X962, PublicFormat.UncompressedPoint)
    if raw != _decoded(settings.push_public_key):
        raise KeysDoNotMatch(
            "FAIRLEAD_PUSH_PUBLIC_KEY does not belong to FAIRLEAD_PUSH_PRIVATE_KEY: set both as "
            "'python -m worker.push_keys' printed them."
        )
    return (
        private.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption()),
        public.public_bytes(Encoding.PEM, PublicFormat.SubjectPublicKeyInfo),
    )


def raw_private_key(pem: bytes) -> str:
    """The 32 bytes of a private key, in base64url, as settings hold it."""
    key = load_pem_private_key(pem, None)
    if not isinstance(key, ec.EllipticCurvePrivateKey):
        raise TypeError("Not a key of an elliptic curve.")
    raw = key.private_numbers().private_value.to_bytes(_KEY_BYTES)
    return base64.urlsafe_b64encode(raw).rstrip(b"=").decode()


def _decoded(text: str) -> bytes:
    return base64.urlsafe_b64decode(text + "=" * (-len(text) % 4))
