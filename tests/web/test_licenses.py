"""The license and the notices of what others made."""

from pathlib import Path

from borewright.web.app import create_app

ROOT = Path(__file__).parents[2]


def test_the_text_is_the_same_everywhere_and_reachable_from_the_docs() -> None:
    service = create_app().test_client()
    text = service.get("/docs/licenses.txt").get_data(as_text=True)
    own = (ROOT / "service" / "LICENSE").read_text(encoding="utf-8")
    assert own.strip() in text
    assert (ROOT / "client" / "LICENSE").read_text(encoding="utf-8") == own
    assert all(words in " ".join(text.split()) for words in ("Apache License", "DejaVu", "NIST SP 811"))
    assert 'href="./docs/licenses.txt"' in service.get("/docs").get_data(as_text=True)
