"""What strangers read is in US English and in the trade's words, wherever it stands: code, texts, pages, documents, generated files.

British spellings are kept where a request may use them, and in the contract's `centring`.
"""

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
KINDS = {".py", ".md", ".toml", ".json", ".html", ".jinja", ".typ", ".css", ".js", ".yaml", ".yml", ".cfg", ".ts"}
PLACES = ("service", "client", "openapi", "docker", "tests", "README.md", "DEVELOPERS.md", ".ci")
BRITISH = (
    r"centre|centred|catalogue|vapour|[a-z]*vaporis|ovalis|colour|behaviour|neighbour|judgement|idealis|recognis|summaris|normalis|optimis"
    r"|serialis|initialis|minimis(?:e|ing)|maximis|organis(?:e|ing|ation)|utilis|modell|labell(?:ed(?!by)|ing)|travell|cancell(?:ed|ing)"
    r"|fulfil(?:s\b|\b)|favour|honour|mould|sulph|analys(?:e\b|ed|ing)|aluminium|\bgrey|licence|metres?\b|litres?\b|oxidis|carburett"
    r"|towards|programme\b|tyre"
)
OLD = (
    r"gasket.?overhang|what needs a hand|worked.?out|best.?torque|bob-weight|ultrasonic|ultrasound|pin.boss.pressure\b"
    r"|docker\.io"
)
READ_AS_WELL = (  # accepted in requests, or the names of things that are not ours
    "grey_iron", "aluminium_356", "plated_aluminium", "centre_offset", "diametre", "CancelledError",
)  # fmt: skip
EXPLAINED = {"ultrasound": ("service/borewright/rules/glossary.py",)}


def _files() -> list[Path]:
    found = []
    for place in PLACES:
        path = ROOT / place
        found += [path] if path.is_file() else [file for file in path.rglob("*") if file.is_file()]
    own = Path(__file__)
    return [
        file
        for file in found
        if file != own and (file.suffix in KINDS or file.parent.name == ".ci") and "published/data" not in file.as_posix()
    ]


FILES = _files()


@pytest.mark.parametrize("words", [BRITISH, OLD], ids=["British spellings", "old words"])
def test_no_old_word_is_left(words: str) -> None:
    pattern = re.compile(words, re.IGNORECASE)
    kept = re.compile("|".join(READ_AS_WELL))
    found = []
    for file in FILES:
        place = file.relative_to(ROOT).as_posix()
        for number, line in enumerate(file.read_text(encoding="utf-8", errors="ignore").splitlines(), 1):
            if place == "DEVELOPERS.md" and "` → `" in line:  # a list of renames names the old ones
                continue
            for match in pattern.finditer(kept.sub("", line)):
                if place not in EXPLAINED.get(match[0].lower(), ()):
                    found.append(f"{place}:{number}: {match[0]}")
    assert not found, "\n".join(found[:40])


@pytest.mark.parametrize("words", ["The Catalogue", "a litre of fuel", "two metres", "Aluminium", "grey iron"])
def test_british_spellings_are_seen(words: str) -> None:
    assert re.search(BRITISH, words, re.IGNORECASE)


def test_files_are_looked_at() -> None:
    names = {file.relative_to(ROOT).as_posix() for file in FILES}
    assert {"README.md", "DEVELOPERS.md", "openapi/openapi.json", "service/borewright/rules/vocabulary.py"} <= names
    assert any(name.startswith("client/src/") for name in names)
