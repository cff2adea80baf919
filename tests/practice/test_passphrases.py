"""Passphrases: what may be one (OWASP ASVS 5.0.0, V6.2), and how they are kept and compared."""

import threading
import unicodedata

import pytest
from werkzeug.security import generate_password_hash

from trainer.errors import TrainerError
from trainer.practice import passphrases
from trainer.practice.passphrases import check_new, hashed, matches, outdated


@pytest.mark.parametrize("passphrase", ["7 tide!x", "x" * 128, "смена на котле", "🔥🔥🔥🔥🔥🔥🔥🔥", "  two  spaces  "])
def test_any_characters_make_a_passphrase(passphrase):
    assert check_new(passphrase) == unicodedata.normalize("NFKC", passphrase)


@pytest.mark.parametrize("passphrase", ["", "7 chars", "x" * 129])
def test_eight_to_a_hundred_and_twenty_eight_characters(passphrase):
    with pytest.raises(TrainerError, match="8 to 128 characters, of any kind"):
        check_new(passphrase)


# From memory: all three stand near the top of every published list of common passwords.
@pytest.mark.parametrize("passphrase", ["password", "PassWord", "12345678", "iloveyou"])
def test_common_ones_are_refused(passphrase):
    with pytest.raises(TrainerError, match="among the first that are tried"):
        check_new(passphrase)


def test_one_s_own_name_is_refused():
    with pytest.raises(TrainerError):
        check_new("ADA PUMP X", "Ada Pump x")
    assert check_new("Ada Pump x", "Ben") == "Ada Pump x"


# RFC 7914: N is the cost, r the block size; 32768, 8 and parallelization 3 are those of ASVS 5.0.0, appendix C
def test_it_is_kept_as_a_salted_scrypt_hash():
    kept = [hashed("three word phrase") for _ in range(2)]
    assert kept[0] != kept[1]
    assert all(each.startswith("scrypt:32768:8:3$") and "phrase" not in each for each in kept)
    assert all(matches(each, "three word phrase") for each in kept)
    assert not matches(kept[0], "three word phrasf")


def test_nothing_is_cut_off():
    kept = hashed("x" * 72)  # bcrypt would look no further
    assert matches(kept, "x" * 72)
    assert not matches(kept, "x" * 72 + "suffix")
    assert not matches(hashed("y" * 128), "y" * 129)


def test_two_ways_to_type_a_letter_are_one():
    assert matches(hashed("cafe\u0301 au lait"), "caf\u00e9 au lait")


def test_where_nobody_is_there_is_no_match_and_the_same_work(monkeypatch):
    compared = []
    real = passphrases.check_password_hash

    def compare(kept, passphrase):
        compared.append(kept.split("$")[0])
        return real(kept, passphrase)

    monkeypatch.setattr(passphrases, "check_password_hash", compare)
    assert not matches(None, "nobody has this")
    assert not matches(hashed("three word phrase"), "nobody has this")
    assert compared == ["scrypt:32768:8:3"] * 2


def test_a_hash_of_another_cost_is_outdated():
    assert outdated(generate_password_hash("three word phrase", "scrypt:32768:8:1"))
    assert not outdated(hashed("three word phrase"))


def test_two_are_hashed_at_once(monkeypatch):
    inside, most, all_in = [], [], threading.Barrier(2, timeout=10)

    def slow(passphrase, method):
        inside.append(1)
        most.append(len(inside))
        all_in.wait()
        inside.pop()
        return method

    monkeypatch.setattr(passphrases, "generate_password_hash", slow)
    threads = [threading.Thread(target=hashed, args=("three word phrase",)) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert (max(most), len(most)) == (2, 6)
