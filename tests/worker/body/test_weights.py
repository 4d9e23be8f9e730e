from pathlib import Path

import pytest

from api.domain.errors import PipelineFault
from worker.body import weights
from worker.body.weights import Network, WeightsMissing, weights_path


def test_absent_network_says_what_to_do(tmp_path: Path) -> None:
    with pytest.raises(WeightsMissing, match="make install"):
        weights_path(Network.FULL, tmp_path)


def test_changed_network_is_refused_with_both_hashes(tmp_path: Path) -> None:
    (tmp_path / Network.LITE.value).write_bytes(b"not the network")
    with pytest.raises(WeightsMissing, match=weights.SHA256[Network.LITE]):
        weights_path(Network.LITE, tmp_path)


def test_a_missing_network_is_our_fault_and_not_the_clips() -> None:
    assert issubclass(WeightsMissing, PipelineFault)


def test_every_network_has_a_hash_and_a_place_in_the_package() -> None:
    assert set(weights.SHA256) == set(weights.PACKAGE_FILES) == set(Network)
    assert all(len(digest) == 64 for digest in weights.SHA256.values())
