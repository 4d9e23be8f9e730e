"""Which store the settings ask for."""

from api.settings import Settings
from api.storage.base import Storage
from api.storage.links import LinkSigner
from api.storage.local import LocalStorage


def open_storage(settings: Settings) -> Storage:
    """The place for clips."""
    return LocalStorage(settings.clips_dir)


def link_signer(settings: Settings) -> LinkSigner:
    """Makes and checks media links."""
    return LinkSigner(settings.secret.get_secret_value().encode(), lasts=settings.media_link_lasts)
