"""The base of every record, and the kinds of text that a record holds."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Any

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, GetCoreSchemaHandler, StringConstraints
from pydantic_core import core_schema


class Record(BaseModel):
    """A record: unknown keys are errors, types are strict, and nothing changes after reading."""

    # A model is built when the first record of it is read: most commands read few kinds, and there are many.
    model_config = ConfigDict(
        extra="forbid", frozen=True, strict=True, arbitrary_types_allowed=False, defer_build=True
    )


class Prose(str):
    """Text for the reader with inline references; a sentence holds at most 25 words."""

    sentence_words = 25

    @classmethod
    def __get_pydantic_core_schema__(
        cls, source: Any, handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        text = core_schema.str_schema(min_length=1, strip_whitespace=True, strict=True)
        return core_schema.no_info_after_validator_function(cls, text)


class Step(Prose):
    """One action, in the imperative; a sentence holds at most 20 words."""

    sentence_words = 20


class Reason(Prose):
    """Why a rule is set aside, printed behind code and title of its entry; a sentence holds at most 17 words."""

    sentence_words = 17


class Meaning(Prose):
    """What a number is, printed behind it; a sentence holds at most 18 words."""

    sentence_words = 18


class Question(Step):
    """One observation with its wanted reading, as a question that the outcomes answer."""


class Label(Prose):
    """A title or name: short, without a full stop."""


Id = Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9]*(?:-[a-z0-9]+)*$", max_length=60)]


def _on_the_calendar(text: str) -> str:
    if not FIRST_YEAR <= date.fromisoformat(text).year <= LAST_YEAR:
        raise ValueError(f"a date lies between {FIRST_YEAR} and {LAST_YEAR}")
    return text


#: Years in which somebody may have written or reviewed something.
FIRST_YEAR, LAST_YEAR = 1990, 2100
Date = Annotated[
    str,
    StringConstraints(pattern=r"^[0-9]{4}-[01][0-9]-[0-3][0-9]$"),
    AfterValidator(_on_the_calendar),
]
Share = Annotated[float, Field(ge=0, le=1000)]
Minutes = Annotated[float, Field(ge=0, le=600)]
Positive = Annotated[float, Field(gt=0)]
