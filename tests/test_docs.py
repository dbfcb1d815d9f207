"""README and the published tables say what the program does."""

import re
import tomllib
from pathlib import Path

import pytest

from bidlens import cli, reference
from tests import refresh_docs

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")


def commands() -> dict:
    parser = cli._parser()
    return next(action.choices for action in parser._actions if getattr(action, "choices", None))


@pytest.mark.parametrize("name", sorted(commands()))
def test_every_command_and_option_stands_in_readme(name):
    assert f"`bidlens {name}" in README
    common = {"--help", "--db", "--format", "--port", "--host", "--no-open"}
    for option in commands()[name]._option_string_actions:
        if option.startswith("--") and option not in common:
            assert option in README, f"{option} of bidlens {name}"


def test_the_data_dictionary_in_readme_is_the_one_the_program_checks_against():
    assert refresh_docs.dictionary() in README


def test_readme_pictures_are_there_and_light():
    pictures = re.findall(r"!\[[^]]*\]\(([^)]+)\)", README)
    assert pictures
    for picture in pictures:
        assert (ROOT / picture).stat().st_size < 300_000, picture


def test_readme_opens_with_the_job_in_one_paragraph():
    first = README.split("\n\n")[1]
    assert first.startswith("A county bridge engineer")


@pytest.mark.parametrize("path", sorted(reference.shared_dir().glob("*.csv")), ids=lambda path: path.stem)
def test_every_published_table_says_where_it_is_from(path):
    about = tomllib.loads(path.with_suffix(".toml").read_text(encoding="utf-8"))
    assert {"title", "publisher", "release", "unit", "licence", "source", "read"} <= set(about)
    assert len(reference.load_table(path.stem).frame)
