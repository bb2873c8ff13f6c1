"""The one rule of who sees what: audience × field group; private unless said otherwise.

Every field of every model is in a group. A field that no list names is in the group
*unlisted*, which only the team reads: a new field is private until somebody decides.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from django.db import models

from .models import Belonging, Confidence, Root, User
from .models.choices import Audience, RecordState
from .models.users import Role
from .roles import at_least

WIDENING = (Audience.PUBLIC, Audience.SIGNED_IN, Audience.TEAM, Audience.NAMED)


@dataclass(frozen=True)
class FieldGroup:
    """Fields that are shown or withheld together."""

    name: str
    audience: Audience
    needs_consent: bool = False
    """Public only while a consent for this group stands on the record."""


GROUPS: Mapping[str, FieldGroup] = {
    group.name: group
    for group in (
        FieldGroup("identity", Audience.PUBLIC),
        FieldGroup("history", Audience.PUBLIC),
        FieldGroup("stoplist", Audience.PUBLIC),
        FieldGroup("sharing", Audience.PUBLIC),
        FieldGroup("evidence", Audience.PUBLIC),
        FieldGroup("pictures", Audience.PUBLIC),
        FieldGroup("survey", Audience.PUBLIC),
        FieldGroup("condition", Audience.PUBLIC, needs_consent=True),
        FieldGroup("danger", Audience.PUBLIC, needs_consent=True),
        FieldGroup("works", Audience.PUBLIC, needs_consent=True),
        FieldGroup("working notes", Audience.SIGNED_IN),
        FieldGroup("position", Audience.TEAM),
        FieldGroup("access", Audience.TEAM),
        FieldGroup("owners", Audience.TEAM),
        FieldGroup("materials", Audience.TEAM),
        FieldGroup("sizes", Audience.TEAM),
        FieldGroup("values", Audience.TEAM),
        FieldGroup("stores", Audience.TEAM),
        FieldGroup("openings", Audience.TEAM),
        FieldGroup("hazards", Audience.TEAM),
        FieldGroup("costs", Audience.TEAM),
        # Written to be printed in a brief for the one who reads it; not in the catalogue.
        FieldGroup("briefs", Audience.TEAM),
        FieldGroup("unlisted", Audience.TEAM),
        FieldGroup("persons", Audience.NAMED),
    )
}

_ROOT = "reference version state audience released_on withdrawn_because"
_WHEN = "when when_earliest when_latest when_sort"


def _listed(**groups: str) -> dict[str, str]:
    """Field names by group, turned into group by field name."""
    return {field: group.replace("_", " ") for group, names in groups.items() for field in names.split()}


FIELDS: Mapping[str, Mapping[str, str]] = {
    "place": _listed(
        identity=f"{_ROOT} name other_names kind parent grid_degrees note note_fr note_es",
        position="latitude longitude",
        access="access",
        persons="custodian",
    ),
    "maker": _listed(
        identity=f"{_ROOT} name sort_name kind workshop_place note note_fr note_es began began_earliest "
        "began_latest began_sort ended ended_earliest ended_latest ended_sort active active_earliest "
        "active_latest active_sort",
        persons="private_note",
    ),
    "makername": _listed(identity="maker code name language where_found"),
    "makertie": _listed(history=f"maker code kind other certainty said_by {_WHEN}"),
    "authorityid": _listed(identity="maker code value"),
    "instrument": _listed(
        identity=f"{_ROOT} name status status_since status_since_earliest status_since_latest "
        "status_since_sort place summary summary_fr summary_es merged_into",
        stoplist="action pitch_hz pitch_temperature_c temperament wind_pressure_mm",
        owners="owner",
        persons="contact",
        values="value_estimate",
        stores="store",
        access="access_note",
        working_notes="working_note",
    ),
    "tie": _listed(history="instrument code kind other certainty note"),
    "layer": _listed(history=f"instrument code name maker attribution certainty older_than note {_WHEN}"),
    "event": _listed(
        history="instrument code kind maker role attribution layer place from_place silenced_by text certainty "
        f"documented_before audience {_WHEN}"
    ),
    "part": _listed(
        history="instrument code kind name layer certainty looked_at description",
        materials="materials",
        openings="opening",
    ),
    "movement": _listed(
        history=f"part code {_WHEN}",
        stores="came_from went_to because return_expected return_expected_earliest return_expected_latest "
        "return_expected_sort",
        persons="on_whose_word",
    ),
    "specification": _listed(
        stoplist=f"instrument code name basis layer is_current as_written language {_WHEN}"
    ),
    "keyboard": _listed(
        stoplist="specification code order name kind keys low_note notes reach compass_as_written"
    ),
    "division": _listed(stoplist="specification code order name keyboard enclosed"),
    "stop": _listed(
        stoplist="specification code order keyboard division label name family footage composition first_key "
        "last_key half state layer earlier_name note"
    ),
    "control": _listed(stoplist="specification code order label kind"),
    "controlposition": _listed(stoplist="control code number stops"),
    "rank": _listed(
        stoplist="specification code order name part pipes counted low_note notes missing tones makes family form",
        materials="alloy",
    ),
    "rankrange": _listed(
        history="rank code first_pipe last_pipe layer certainty text", materials="materials"
    ),
    "coupler": _listed(
        stoplist="specification code order label from_keyboard to_keyboard shift moves always"
    ),
    "accessory": _listed(stoplist="specification code order label"),
    "count": _listed(stoplist="specification code order what number how note"),
    "chest": _listed(
        sharing="specification code order name kind part stop_order channel_order layout viewed note",
        openings="lifts",
    ),
    "segment": _listed(
        sharing="stop code first_key last_key rank shift interval pipes device chest evidence certainty survey "
        f"layer note {_WHEN}"
    ),
    "pipereading": _listed(
        survey="rank code pipe survey",
        sizes="state marked_note standing_note sounding_note outside_diameter_mm wall_mm width_mm depth_mm "
        "body_length_mm foot_length_mm toe_hole_mm toe_hole_across_mm mouth_width_mm cut_up_mm pitch_hz "
        "temperature_c note",
    ),
    "survey": _listed(
        survey=f"instrument code level limits printed_as signed {_WHEN}",
        condition="hours temperature_c humidity_percent pressure_mm pitch_hz playability notes_heard notes_tried "
        "findings",
        persons="surveyor",
        openings="private_findings",
    ),
    "partcondition": _listed(
        condition="survey code part looked_at condition_class urgency_class recommendation_class playability "
        "integrity note"
    ),
    "defect": _listed(condition="instrument code kind part where cause cause_certainty"),
    "defectobservation": _listed(condition="defect code survey course affected out_of photograph note"),
    "trial": _listed(condition="survey code number specification stops keys heard extra"),
    "hazard": _listed(hazards="instrument code kind where precaution survey audience"),
    "criterion": _listed(identity="code version judgement name more_means scale names meanings"),
    "judgement": _listed(
        danger=f"instrument code criterion low high because interests audience {_WHEN}", persons="assessor"
    ),
    "danger": _listed(
        danger="instrument code kind text ended noticed noticed_earliest noticed_latest noticed_sort deadline "
        "deadline_earliest deadline_latest deadline_sort who_can_avert asked outcome audience"
    ),
    "decision": _listed(
        danger=f"instrument code advice step decision departs because reply_printed_as next_review next_review_earliest "
        f"next_review_latest next_review_sort audience {_WHEN}",
        persons="told_how custodian_told custodian_told_earliest custodian_told_latest custodian_told_sort "
        "custodian_reply",
    ),
    "package": _listed(
        works="instrument code option name target_state chosen audience_note",
    ),
    "phase": _listed(works=f"package code order name leaves {_WHEN}"),
    "costline": _listed(
        briefs="printed_as quantity unit",
        costs="package code phase kind step text quantity_from rank pipe_state rate low likely high "
        "currency price_year basis defect",
    ),
    "rate": _listed(
        costs="instrument code name unit hours_low hours_likely hours_high hourly material price_year basis"
    ),
    "worksplan": _listed(
        costs="instrument code tax_percent tax_note inflation_percent contingency_percent pipe_gift "
        "money_to_put_back dry_store ownership solvency climate"
    ),
    "passage": _listed(briefs="instrument code section language text accepted", costs="accepted_by drafted"),
    "funding": _listed(works="package code state printed_as", costs="amount", persons="giver"),
    "gift": _listed(costs="rank code pipe", persons="funding"),
    "source": _listed(
        evidence=f"{_ROOT} name kind author held_at shelfmark quality transcription translation {_WHEN}",
        persons="informant",
    ),
    "citation": _listed(
        evidence="instrument maker place code about source locator certainty quote note audience"
    ),
    "claim": _listed(
        evidence="instrument maker place code about value source locator certainty preferred because audience"
    ),
    "fieldstate": _listed(evidence="instrument maker place code about state survey note"),
    "consent": _listed(
        evidence="instrument code group withdrawn until until_earliest until_latest until_sort",
        persons=f"given_by {_WHEN}",
    ),
    "findinganswer": _listed(working_notes="instrument code finding about facts because who when"),
    "photograph": _listed(
        pictures=f"instrument code order file width height shows caption is_drawn direction credit licence "
        f"consent audience {_WHEN}",
        openings="private_note",
    ),
    "region": _listed(pictures="photograph code order x y width height label about"),
    "term": _listed(identity="vocabulary code order retired names unchecked explanation"),
    "device": _listed(identity="code names unchecked explanation non_return what_to_look_for"),
}


def group_of(model: type[models.Model], field: str) -> FieldGroup:
    """The group a field is in; a field nobody listed is for the team."""
    return GROUPS[FIELDS.get(str(model._meta.model_name), {}).get(field, "unlisted")]


def public_fields(model: type[models.Model], consented: frozenset[str] = frozenset()) -> tuple[str, ...]:
    """Names of the fields everybody may read, in the model's order; groups that need it only with consent."""
    shown = []
    for field in (*model._meta.concrete_fields, *model._meta.many_to_many):
        group = group_of(model, field.name)
        if group.audience == Audience.PUBLIC and (not group.needs_consent or group.name in consented):
            shown.append(field.name)
    return tuple(shown)


def audience_of(user: User | None, root: Root | None = None) -> Audience:
    """The widest audience a person belongs to, for one record."""
    if user is None or not user.is_authenticated or not user.is_active:
        return Audience.PUBLIC
    if at_least(user, Role.KEEPER):
        return Audience.NAMED
    if root is not None and is_named(user, root):
        return Audience.NAMED
    return Audience.TEAM if at_least(user, Role.SURVEYOR) else Audience.SIGNED_IN


def is_named(user: User, root: Root) -> bool:
    """Whether a person was given this record's confidence."""
    return Confidence.objects.filter(user=user, root_kind=root.kind_name(), reference=root.reference).exists()


def includes(reader: Audience, wanted: str) -> bool:
    """Whether somebody in the audience `reader` may read what is for `wanted`."""
    return WIDENING.index(Audience(wanted)) <= WIDENING.index(reader)


def shows(reader: Audience, state: str, audience: str) -> bool:
    """Whether a record in this state and for this audience is shown to somebody in the audience `reader`."""
    if reader == Audience.PUBLIC and state != RecordState.RELEASED:
        return False
    if reader == Audience.SIGNED_IN and state == RecordState.DRAFT:
        return False
    return includes(reader, audience)


def shown_to(reader: Audience, path: str = "") -> models.Q:
    """What `shows` says, as a condition for records or for rows at `path`."""
    wanted = models.Q(**{f"{path}audience__in": WIDENING[: WIDENING.index(reader) + 1]})
    if reader == Audience.PUBLIC:
        return wanted & models.Q(**{f"{path}state": RecordState.RELEASED})
    if reader == Audience.SIGNED_IN:
        wanted &= ~models.Q(**{f"{path}state": RecordState.DRAFT})
    return wanted


def readable(user: User | None, kind: str, path: str = "") -> models.Q:
    """Which records of a kind a person may read, as a condition for their QuerySet or for rows at `path`."""
    reader = audience_of(user)
    wanted = shown_to(reader, path)
    if reader not in (Audience.PUBLIC, Audience.NAMED):
        named = Confidence.objects.filter(user=user, root_kind=kind).values("reference")
        wanted |= models.Q(**{f"{path}reference__in": named})
    return wanted


def can_read(user: User | None, row: Root | Belonging, field: str | None = None) -> bool:
    """Whether a person may read a record, or one of its fields."""
    root = row.get_root()
    reader = audience_of(user, root)
    if not shows(reader, root.state, root.audience):
        return False
    if not includes(reader, getattr(row, "audience", Audience.PUBLIC)):
        return False
    return field is None or includes(reader, group_of(type(row), field).audience)
