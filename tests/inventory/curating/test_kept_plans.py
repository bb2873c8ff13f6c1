"""Plans kept on disk: found again as they were, never when scheme or code changed, never when damaged."""

import pytest

from inventory.curating import kept_plans, loft_plans
from inventory.curating.kept_plans import code_sign, read_plan, sign_of, write_plan
from inventory.organ.plain_plans import plain_plan
from inventory.organ.trial_plans import plan_trials
from tests.inventory.organ.test_next_trial import octaves_together

SCHEME = octaves_together(14)


@pytest.fixture(scope="module")
def plan():
    return plan_trials(SCHEME)


@pytest.fixture
def kept(tmp_path, plan):
    sign = sign_of(SCHEME, code_sign())
    write_plan(tmp_path, sign, plan)
    return tmp_path, sign


def test_a_kept_plan_is_the_plan_and_no_half_written_file_stays(kept, plan):
    folder, sign = kept
    assert read_plan(folder, sign) == plan
    assert [path.name for path in folder.iterdir()] == [f"{sign}.json"]


def test_a_plain_plan_is_kept_as_plain(tmp_path):
    write_plan(tmp_path, "a", plain_plan(SCHEME))
    found = read_plan(tmp_path, "a")
    assert found == plain_plan(SCHEME) and not found.is_worked_out


def test_another_scheme_or_another_version_of_the_code_has_another_name():
    code = code_sign()
    signs = {sign_of(SCHEME, code), sign_of(SCHEME, "other code"), sign_of(octaves_together(13), code)}
    assert len(signs) == 3 and sign_of(octaves_together(14), code) in signs


@pytest.mark.parametrize("place", [0, 10, 64, 65, 200, -1])
@pytest.mark.parametrize("spoil", ["cut", "flip"])
def test_a_damaged_file_is_no_plan_and_is_written_anew(kept, plan, place, spoil):
    folder, sign = kept
    path = folder / f"{sign}.json"
    content = bytearray(path.read_bytes())
    if spoil == "cut":
        del content[place:]
    else:
        content[place] ^= 1
    path.write_bytes(content)
    # The one byte that says nothing is the end of the line between the sum and what it is the sum of.
    assert read_plan(folder, sign) == (plan if (spoil, place) == ("flip", 64) else None)
    write_plan(folder, sign, plan)
    assert read_plan(folder, sign) == plan


def test_a_plan_under_another_s_name_is_not_believed(kept):
    folder, sign = kept
    (folder / f"{sign}.json").rename(folder / "other.json")
    assert read_plan(folder, "other") is None


def test_a_disk_that_refuses_costs_nothing_but_time(tmp_path, plan):
    (tmp_path / "file").write_text("in the way")
    write_plan(tmp_path / "file", "a", plan)
    assert read_plan(tmp_path / "file", "a") is None


def test_a_write_that_fails_leaves_the_old_file_and_no_part(kept, plan, monkeypatch):
    folder, sign = kept

    def refuse(*_given):
        raise OSError("no space")

    monkeypatch.setattr(kept_plans.Path, "replace", refuse)
    write_plan(folder, sign, plain_plan(SCHEME))
    assert read_plan(folder, sign) == plan and len(list(folder.iterdir())) == 1


def test_what_is_longest_unused_goes(tmp_path, plan, monkeypatch):
    import os

    monkeypatch.setattr(kept_plans, "MOST_FILES", 2)
    for number, name in enumerate("abc"):
        write_plan(tmp_path, name, plan)
        os.utime(tmp_path / f"{name}.json", (1000 + number, 1000 + number))
    write_plan(tmp_path, "d", plan)
    assert sorted(path.stem for path in tmp_path.iterdir()) == ["c", "d"]


def test_a_second_process_works_nothing_out_again(settings, tmp_path, monkeypatch):
    settings.DATA_DIR = tmp_path
    loft_plans._kept.clear()
    made = loft_plans.plan_of(SCHEME)
    loft_plans._kept.clear()  # as in another process
    monkeypatch.setattr(loft_plans, "plan_within", lambda scheme: pytest.fail("worked out again"))
    assert loft_plans.plan_of(SCHEME) == made
    loft_plans._kept.clear()
