"""Files that try to make the decoder open something else. Each trick is first shown to be live."""

import shutil
import sys
from collections.abc import Callable
from pathlib import Path

import av
import pytest

from api.domain.errors import ClipRefused
from api.domain.refusals import RefusalCode
from tests.worker.video.making import even_times, refer_elsewhere, write_clip
from tests.worker.video.watching import listening, watched
from worker.video.probe import probe_clip

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="watches files through inotify")


@pytest.fixture
def secret(tmp_path: Path) -> Path:
    """Somebody else's clip."""
    return write_clip(tmp_path / "secret.mp4", even_times(30))


def concat_script(path: Path, secret: Path) -> None:
    path.write_text(f"ffconcat version 1.0\nfile {secret.name}\n")


def playlist(path: Path, secret: Path) -> None:
    path.write_text(
        "#EXTM3U\n#EXT-X-VERSION:7\n#EXT-X-TARGETDURATION:2\n#EXTINF:1.0,\n"
        f"{secret.name}\n#EXT-X-ENDLIST\n"
    )


def data_reference(path: Path, secret: Path) -> None:
    made = write_clip(path.with_suffix(".mov"), even_times(30))
    refer_elsewhere(made, secret)
    made.replace(path)


TRICKS = [concat_script, playlist, data_reference]


@pytest.mark.parametrize("make", TRICKS)
def test_another_file_is_never_opened(
    tmp_path: Path, secret: Path, make: Callable[[Path, Path], None]
) -> None:
    path = tmp_path / "clip.mp4"
    make(path, secret)
    with watched(secret) as opened:
        with pytest.raises(ClipRefused) as refused:
            probe_clip(path)
        assert opened.count() == 0
    assert refused.value.code in {RefusalCode.NOT_A_VIDEO, RefusalCode.DAMAGED}


@pytest.mark.parametrize("make", TRICKS)
def test_the_trick_works_where_the_door_is_open(
    tmp_path: Path, secret: Path, make: Callable[[Path, Path], None]
) -> None:
    path = tmp_path / "clip.mp4"
    make(path, secret)
    options = {
        "enable_drefs": "1",
        "use_absolute_path": "1",
        "safe": "0",
        "allowed_extensions": "ALL",
        "extension_picky": "0",
    }
    if make is playlist:  # the library itself is picky about the playlist's own name
        path = path.rename(path.with_suffix(".m3u8"))
    with watched(secret) as opened:
        av.open(str(path), options=options).close()
        assert opened.count() > 0


CONCAT_SCRIPT = "ffconcat version 1.0\nfile http://127.0.0.1:{port}/clip.mp4\n"
PLAYLIST = "#EXTM3U\n#EXT-X-TARGETDURATION:2\n#EXTINF:1.0,\nhttp://127.0.0.1:{port}/a.ts\n"
SESSION = """v=0
o=- 0 0 IN IP4 127.0.0.1
s=-
c=IN IP4 127.0.0.1
t=0 0
m=video {port} RTP/AVP 96
a=rtpmap:96 H264/90000
"""
MANIFEST = """<?xml version="1.0"?>
<MPD xmlns="urn:mpeg:dash:schema:mpd:2011" type="static" mediaPresentationDuration="PT1S">
<Period><BaseURL>http://127.0.0.1:{port}/</BaseURL></Period></MPD>
"""
ADDRESS = "rtsp://127.0.0.1:{port}/live\n"


@pytest.mark.parametrize(
    "text",
    [CONCAT_SCRIPT, PLAYLIST, SESSION, MANIFEST, ADDRESS],
    ids=["concat", "playlist", "session", "manifest", "address"],
)
def test_no_address_is_called(tmp_path: Path, text: str) -> None:
    path = tmp_path / "clip.mp4"
    with listening() as (port, server):
        path.write_text(text.format(port=port))
        with pytest.raises(ClipRefused) as refused:
            probe_clip(path)
        with pytest.raises(BlockingIOError):
            server.accept()
    assert refused.value.code == RefusalCode.NOT_A_VIDEO


def test_subtitles_are_no_video(tmp_path: Path) -> None:
    path = tmp_path / "clip.mp4"
    path.write_text("1\n00:00:00,000 --> 00:00:05,000\nHello\n\n" * 20)
    with pytest.raises(ClipRefused) as refused:
        probe_clip(path)
    assert refused.value.code == RefusalCode.NOT_A_VIDEO


def test_the_files_own_name_is_only_a_name(tmp_path: Path) -> None:
    odd = tmp_path / "concat:clip%03d|x.mp4"
    shutil.copyfile(write_clip(tmp_path / "clip.mp4", even_times(30)), odd)
    assert probe_clip(odd).facts.frames == 30
