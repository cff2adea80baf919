import os
import threading

import pytest

from trainer.errors import TrainerError
from trainer.storage import secret
from trainer.storage.secret import secret_key


def test_the_key_is_made_once(tmp_path):
    key = secret_key(tmp_path)

    assert len(key) == 32
    assert secret_key(tmp_path) == key


def test_two_folders_have_two_keys(tmp_path):
    (tmp_path / "other").mkdir()

    assert secret_key(tmp_path) != secret_key(tmp_path / "other")


@pytest.mark.skipif(os.name != "posix", reason="file modes")
def test_only_the_owner_reads_it(tmp_path):
    secret_key(tmp_path)

    assert (tmp_path / "secret.key").stat().st_mode & 0o777 == 0o600


def test_many_at_once_agree(tmp_path):
    keys = []
    threads = [threading.Thread(target=lambda: keys.append(secret_key(tmp_path))) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert len(keys) == 8
    assert len(set(keys)) == 1


def test_a_damaged_key_is_told_and_not_used(tmp_path, monkeypatch):
    monkeypatch.setattr(secret, "PATIENCE", 0.05)
    (tmp_path / "secret.key").write_bytes(b"short")

    with pytest.raises(TrainerError, match=r"secret\.key is damaged"):
        secret_key(tmp_path)


def test_a_folder_that_is_not_there_is_one_sentence(tmp_path):
    with pytest.raises(TrainerError, match="cannot be read or written"):
        secret_key(tmp_path / "missing")
