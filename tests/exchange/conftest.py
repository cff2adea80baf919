import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

from trainer.content.library import Library, read_library


@pytest.fixture(scope="session")
def library() -> Library:
    return read_library()


@pytest.fixture
def pages_of(needs, tmp_path) -> Callable[[bytes], list[str]]:
    """The text of each page of a PDF, read by another program."""
    needs("pdftotext", shutil.which("pdftotext"), "the reader that printed papers are checked with")

    def pages_of(content: bytes) -> list[str]:
        file = Path(tmp_path / "read.pdf")
        file.write_bytes(content)
        text = subprocess.run(["pdftotext", "-layout", file, "-"], capture_output=True, text=True, check=True).stdout
        return text.removesuffix("\f").split("\f")

    return pages_of
