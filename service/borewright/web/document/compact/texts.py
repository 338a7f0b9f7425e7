"""Short texts for the document that everybody loads, whole ones for who asks for them: made from one source.

A short text is the first clause, and only where a name does not say as much. What goes in keeps more of them than what comes out: a figure
of an answer is called what it is, a size that is asked for has to be measured in one way and not in another.
"""

from __future__ import annotations

import re
from collections.abc import Collection
from typing import Any

from borewright.web.document.compact.references import TEXT, WHOLE, Place, Schema, places, target

LONGEST = 80
BRIEF = "x-brief"  # a short text where the beginning of the whole one says too little
ENOUGH = 24  # characters; a longer clause ends at its first comma
# where the first clause of a text ends
_END = re.compile(
    r"\n|; | \(default |,? left out,|: |\. |\.$| where it | where they "
    r"|, (?:null|where|which|so that|as|if|with|one|each|in the|not|out of|such|from) "
)
_ARTICLE = re.compile(r"^(?:the|an|a) (?=\w)", re.IGNORECASE)
# words that say nothing beside the name of what they are about
_FILLING = re.compile(
    "a|after|all|an|and|are|as|at|be|by|calculation|caller|called|computed|each|every|find|found|for|from|given|gives|had|has|how|in|is|it|its|kind|list|lists"
    "|many|much|number|of|on|one|or|other|out|own|part|process|said|size|so|that|the|their|them|there|they|this|to|together|two|value|was|what|which|whole|with|work"
)
# an end of a range by another word
_ALIKE = {"smallest": "low", "lowest": "low", "largest": "high", "highest": "high", "most": "high", "least": "low"}
# names of an answer's members that say what they are
_PLAIN = re.compile("_|^(verdict|reason|source|checks|missing|version|name|cost|hours|price|verdicts|sensitivity|assumptions|cautions)$")
_SAID_BY_NAME = re.compile(r"(Request|BatchAnswer|Columns|Figure|Fields|LimitsPart)$")
_OF_ITS_KIND = re.compile(r"^What .* (answers|needs)\b|^Fields of several calculations|^The caller's own ")


def clause(text: str) -> str:
    """The first clause of a text.

    >>> clause("the sizes on offer, over the nominal bore; 0 is the standard size (default '0 mm')")
    'sizes on offer, over the nominal bore'
    """
    found = _END.split(text, maxsplit=1)[0].strip() or text
    head = found.split(", ")[0]
    found = head if len(head) > ENOUGH else found
    plain = _ARTICLE.sub("", found)
    return plain if found[0].islower() else plain[0].upper() + plain[1:]


def says_no_more(text: str, *names: str) -> bool:
    """Whether a text has no word that some names have not.

    >>> says_no_more("length of the cylinder", "cylinder_length"), says_no_more("twice the crank throw", "stroke")
    (True, False)
    """
    return _words(text) <= {word for name in names for word in _words(re.sub(r"(?<=[a-z])(?=[A-Z])", " ", name).replace("_", " "))}


def _words(text: str) -> set[str]:
    found = (re.sub(r"(?<=\w\w)(?:'s|s)$", "", word) for word in re.findall(r"[\w']+", text.lower()))
    return {_ALIKE.get(word, word) for word in found if not _FILLING.fullmatch(word)}


def annotated(schemas: dict[str, Schema], answers: Collection[str]) -> None:
    """Shorten every text, and keep the whole one beside it.

    answers : the components that come out

    >>> schemas = {"GasketPart": {"properties": {"bore": {"description": "its opening; round"}}}}
    >>> annotated(schemas, [])
    >>> schemas["GasketPart"]["properties"]["bore"]
    {'x-whole': 'its opening; round', 'description': 'its opening'}
    """
    objects = {name for name, schema in schemas.items() if schema.get("type") == "object" and "value" not in schema.get("properties", {})}
    for name, schema in schemas.items():
        short = _shortened(schema)
        if short and (_SAID_BY_NAME.search(name) or _OF_ITS_KIND.match(schema[WHOLE]) or says_no_more(short, name)):
            del schema["description"]
    for place in places(schemas):
        short = _shortened(place.schema)
        if short and _needless(place, short, objects, answers):
            del place.schema["description"]
    for place in places(schemas):
        one = target(place.schema.get("items", {}))
        if one in schemas and "description" in place.schema:  # the list says what is in it
            schemas[one].pop("description", None)


def _shortened(schema: Schema) -> str:
    brief, text = schema.pop(BRIEF, None), schema.pop("description", None)
    if not isinstance(text, str):
        return ""
    schema[WHOLE] = text
    schema["description"] = short = brief or clause(text)
    return short


def _needless(place: Place, short: str, objects: Collection[str], answers: Collection[str]) -> bool:
    """Whether the name of a member, its type or the object that it belongs to say as much as its text."""
    if place.key == "items" or target(place.schema) in objects or says_no_more(short, place.member, place.component):
        return True
    return place.component in answers and bool(_PLAIN.search(place.member))


def told(part: Any, *, whole: bool) -> Any:
    """A part of the document with its short texts, or with its whole ones.

    >>> part = {"description": "its opening", "x-whole": "its opening; round", "type": "string"}
    >>> told(part, whole=False), told(part, whole=True)
    ({'type': 'string', 'description': 'its opening'}, {'type': 'string', 'description': 'its opening; round'})
    """
    if isinstance(part, dict):
        found = {name: told(inner, whole=whole) for name, inner in part.items() if name not in TEXT or not isinstance(inner, str)}
        text = part.get(WHOLE, part.get("description")) if whole else part.get("description")
        return {**found, "description": text} if isinstance(text, str) else found
    return [told(inner, whole=whole) for inner in part] if isinstance(part, list) else part
