"""Creating and changing records: permission, change, version and history in one transaction.

A record is a root and the rows that belong to it. It is saved only if its version is
still the one the person had before them; otherwise nothing is saved and `StaleRecord`
carries both versions, field by field.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models, transaction
from django.utils.translation import gettext as _

from inventory.models import Belonging, Change, Decision, PartCondition, Root, Survey, Trial, User
from inventory.models.choices import RecordState
from inventory.roles import require

from .differences import KEPT_BY_ACTIONS, Difference, as_json, dependants_lost, differences, removal
from .errors import Clash, StaleRecord
from .searching import index_record
from .texts import check_texts, plain_line

Link = tuple[models.Model, str, Sequence[models.Model]]
"""A row, the name of its many-to-many field, and all rows it shall hold."""


def create_record(
    root: Root, *, by: User, why: str = "", put: Iterable[Belonging] = (), links: Iterable[Link] = ()
) -> Root:
    """Save a new record as a draft, with its rows, as version 1."""
    require(by, "create", root)
    put = list(put)
    _check_decisions(root, by, put)
    with transaction.atomic():
        root.version, root.state = 1, RecordState.DRAFT
        root.full_clean()
        check_texts(root)
        found = differences(None, root)
        root.save(force_insert=True)
        found += _put(root, put) + _link(links)
        _remember(root, "create", by, why, found)
    return root


def change_record(
    root: Root,
    *,
    version: int,
    by: User,
    why: str = "",
    put: Iterable[models.Model] = (),
    remove: Iterable[Belonging] = (),
    links: Iterable[Link] = (),
    action: str = "change",
) -> Root:
    """Save changed and new rows (`put`, the root itself among them or not) and take rows away.

    `version` is the version the person saw. Where nothing differs nothing is saved and
    the version stays.
    """
    require(by, "change", root)
    put, remove, links = list(put), list(remove), list(links)
    for row in put:
        if isinstance(row, Decision):
            row.note_departure()  # before differences are looked for, so that the history has it
    _check_belonging(root, [*put, *remove, *(row for row, _field, _rows in links)])
    before = {name: getattr(root, name) for name in KEPT_BY_ACTIONS if hasattr(root, name)}
    try:
        with transaction.atomic():
            found = _planned(put, remove, links)
            now = type(root).objects.get(pk=root.pk)
            if now.version != version:
                raise _stale(now, version, found)
            if not found:
                return now
            found += dependants_lost(remove)
            _check_signed(put, remove)
            _check_decisions(root, by, put, remove)
            _raise_version(now, version, found)
            for row in remove:
                if row.pk is not None:
                    row.delete()
            _put(root, put)
            _link(links)
            root.version = version + 1
            _remember(root, action, by, why, found)
    except Exception:
        # The caller's object tells the truth again: nothing was saved.
        for name, value in before.items():
            setattr(root, name, value)
        raise
    return root


def _raise_version(root: Root, version: int, found: list[Difference], **fields: Any) -> None:
    """The one conditional update: of two people with the same version, one gets through."""
    changed = type(root).objects.filter(pk=root.pk, version=version).update(version=version + 1, **fields)
    if changed != 1:
        raise _stale(type(root).objects.get(pk=root.pk), version, found)


def _check_belonging(root: Root, rows: Iterable[models.Model]) -> None:
    """Rows of another record may not slip in."""
    for row in rows:
        owner = row.get_root() if isinstance(row, Root | Belonging) else None
        if owner is None or (type(owner), owner.pk) != (type(root), root.pk):
            raise ValidationError(
                _("%(row)s does not belong to %(record)s.") % {"row": row, "record": root.reference}
            )


def _check_signed(put: list[Any], remove: list[Any]) -> None:
    """A signed survey, what it found of parts and what it tried stay as they were signed."""
    for row in [*put, *remove]:
        survey = (
            row if isinstance(row, Survey) else row.survey if isinstance(row, PartCondition | Trial) else None
        )
        if survey is None or not Survey.objects.filter(pk=survey.pk, signed=True).exists():
            continue
        old = type(row).objects.filter(pk=row.pk).first() if row.pk else None
        if row in remove or differences(old, row):
            raise ValidationError(
                _("The survey of %(date)s is signed and is not changed; write a new one beside it.")
                % {"date": survey.when}
            )


def _check_decisions(root: Root, by: User, put: Iterable[Any], remove: Iterable[Any] = ()) -> None:
    """What the body decided on a danger is written by those who speak for it, whichever way it comes in."""
    touched = any(isinstance(row, Decision) for row in remove) or any(
        differences(Decision.objects.filter(pk=row.pk).first() if row.pk else None, row)
        for row in put
        if isinstance(row, Decision)
    )
    if touched:
        require(by, "decide on dangers", root)


def _planned(put: list[Any], remove: list[Any], links: list[Link]) -> list[Difference]:
    """What would change, before anything does."""
    found: list[Difference] = []
    for row in remove:
        found += removal(row)
    for row in put:
        old = type(row).objects.filter(pk=row.pk).first() if row.pk else None
        found += differences(old, row)
    for row, field, rows in links:
        found += _link_difference(row, field, rows)
    return found


def _put(root: Root, rows: Iterable[models.Model]) -> list[Difference]:
    """Check and save rows; new ones are inserted, the root keeps what only actions may set."""
    found: list[Difference] = []
    for row in rows:
        old = type(row).objects.filter(pk=row.pk).first() if row.pk else None
        # A row made together with its parent learns the parent's key only now.
        for field in row._meta.concrete_fields:
            if isinstance(field, models.ForeignKey) and field.is_cached(row):
                other = getattr(row, field.name)
                if other is not None and getattr(row, field.attname) is None:
                    setattr(row, field.attname, other.pk)
        try:
            row.full_clean()
            check_texts(row)
        except ValidationError as refused:
            refused.row = row  # whoever shows the refusal says which row it speaks of
            raise
        found += differences(old, row)
        if isinstance(row, Root) and old is not None:
            for name in KEPT_BY_ACTIONS:
                if hasattr(row, name):
                    setattr(row, name, getattr(old, name))
        row.save()
    return found


def _link_difference(row: models.Model, field: str, rows: Sequence[models.Model]) -> list[Difference]:
    before = sorted(str(other.natural_key()[-1]) for other in getattr(row, field).all()) if row.pk else []
    after = sorted(str(other.natural_key()[-1]) for other in rows)
    return [Difference(f"{row.path_in_root()}#{field}", before, after)] if before != after else []


def _link(links: Iterable[Link]) -> list[Difference]:
    found: list[Difference] = []
    for row, field, rows in links:
        found += _link_difference(row, field, rows)
        getattr(row, field).set(rows)
    return found


def _remember(root: Root, action: str, by: User, why: str, found: list[Difference]) -> None:
    Change.objects.create(
        root_kind=root.kind_name(),
        reference=root.reference,
        version=root.version,
        action=action,
        who=by,
        why=plain_line(why)[:300],
        fields=as_json(found),
    )
    index_record(root)


def _stale(now: Root, version: int, mine: list[Difference]) -> StaleRecord:
    """Both versions, field by field: what I wanted to save, and what was saved since."""
    since = list(Change.objects.between(now, version, now.version).select_related("who"))
    theirs: dict[str, Difference] = {}
    for change in since:
        for entry in change.fields:
            first = theirs.get(entry["path"])
            theirs[entry["path"]] = Difference(
                entry["path"], first.old if first else entry["old"], entry["new"]
            )
    clashes = []
    for path in dict.fromkeys([*(d.path for d in mine), *theirs]):
        wanted = next((d for d in mine if d.path == path), None)
        saved = theirs.get(path)
        was = saved.old if saved else (wanted.old if wanted else None)
        clashes.append(Clash(path, was, wanted.new if wanted else was, saved.new if saved else was))
    who = str(since[-1].who) if since and since[-1].who else _("somebody")
    return StaleRecord(now, version, now.version, clashes, who)
