"""What can go wrong while a file is on its way in, in words for the person who sends it."""

from api.domain.errors import Conflict, FairleadError


class UploadLocked(FairleadError):
    """Another request is writing to this upload."""

    code = "upload_locked"


class UploadGone(FairleadError):
    """The upload existed and is over: expired or cancelled."""

    code = "upload_gone"


class OffsetMismatch(Conflict):
    """The client's idea of how much has arrived is not ours."""

    code = "offset_mismatch"


class ChecksumMismatch(FairleadError):
    """The bytes are not the ones that were sent; they were dropped."""

    code = "checksum_mismatch"


class BadTusRequest(FairleadError):
    """A header of the upload protocol that cannot be read."""

    code = "bad_upload_request"


class UnsupportedTusVersion(FairleadError):
    """The client speaks another version of the upload protocol, or does not say which."""

    code = "unsupported_upload_protocol"


class WrongUploadType(FairleadError):
    """The body is not labelled as a piece of an upload."""

    code = "wrong_upload_type"


class BodyTooSlow(FairleadError):
    """Nothing came for too long. What had arrived is kept."""

    code = "body_too_slow"


class StorageFull(FairleadError):
    """No room on the disk. What had arrived before is kept."""

    code = "storage_full"
