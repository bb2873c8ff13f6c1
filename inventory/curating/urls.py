"""The addresses of the workroom, grouped by what they speak of."""

from __future__ import annotations

from django.contrib.auth.views import LogoutView
from django.urls import path, register_converter
from django.views.i18n import set_language

from .access import KindConverter
from .views import (
    account,
    changes,
    courses,
    danger,
    evidence,
    finding,
    findings,
    helping,
    languages,
    lists,
    loft,
    people,
    photographs,
    records,
    rows,
    schemes,
    stoplists,
    trials,
    visits,
    works,
)

register_converter(KindConverter, "kind")

RECORD = "<kind:kind>/<slug:reference>/"

signing_in = [
    path("sign-in/", account.SignIn.as_view(), name="sign-in"),
    path("sign-out/", LogoutView.as_view(template_name="curating/signed_out.html"), name="sign-out"),
    path("account/", account.account, name="account"),
    path("account/second-factor/", account.second_factor, name="second-factor"),
    path("account/second-factor/set-up/", account.second_factor_setup, name="second-factor-setup"),
    path("account/second-factor/forget/", account.second_factor_forget, name="second-factor-forget"),
    path("invitation/<str:token>/", account.take_up_invitation, name="invitation"),
]
of_people = [
    path("people/", people.show, name="people"),
    path("people/invite/", people.add_invitation, name="invite"),
    path("people/invitations/<int:key>/withdraw/", people.remove_invitation, name="invitation-withdraw"),
    path("people/<str:username>/", people.edit, name="person"),
    path("people/<str:username>/forget-second-factor/", people.forget_device, name="person-forget-device"),
]
of_finding = [
    path("", finding.home, name="home"),
    path("lists/save/", lists.save, name="list-save"),
    path("lists/<int:key>/", lists.open_saved, name="list-open"),
    path("lists/<int:key>/forget/", lists.remove, name="list-forget"),
    path("choose/<kind:kind>/", helping.choose, name="choose"),
    path("<kind:kind>/", finding.show_list, name="list"),
    path("<kind:kind>/new/", records.create, name="record-new"),
    path("<kind:kind>/list.csv", lists.export_csv, name="list-csv"),
    path("<kind:kind>/list.xlsx", lists.export_xlsx, name="list-xlsx"),
]
of_records = [
    path(RECORD, records.show, name="record"),
    path(RECORD + "parts/<slug:part>/", records.show_part, name="record-part"),
    path(RECORD + "fields/<slug:group>/", records.edit_fields, name="fields-edit"),
    path(RECORD + "step/", records.take_step, name="record-step"),
]
of_rows = [
    path(RECORD + "rows/<slug:rows>/add/", rows.add, name="row-add"),
    path(RECORD + "rows/<slug:rows>/<path:code>/edit/", rows.edit, name="row-edit"),
    path(RECORD + "rows/<slug:rows>/<path:code>/remove/", rows.remove, name="row-remove"),
]
of_changes = [
    path(RECORD + "changes/", changes.show, name="changes"),
    path(RECORD + "changes/compare/", changes.compare, name="changes-compare"),
    path(RECORD + "changes/<int:version>/undo/", changes.undo, name="change-undo"),
]
of_evidence = [
    path(RECORD + "evidence/", evidence.show, name="evidence"),
    path(RECORD + "evidence/prefer/<slug:code>/", evidence.prefer, name="claim-prefer"),
]
of_findings = [
    path("instruments/<slug:reference>/findings/", findings.show, name="findings"),
    path("instruments/<slug:reference>/findings/answer/", findings.answer, name="finding-answer"),
    path("instruments/<slug:reference>/findings/<slug:code>/reopen/", findings.reopen, name="finding-reopen"),
]
INSTRUMENT = "instruments/<slug:reference>/"
STOPLIST = INSTRUMENT + "stoplists/<str:code>/"
of_stoplists = [
    path(INSTRUMENT + "read-stoplist/", stoplists.read, name="stoplist-read"),
    path(INSTRUMENT + "compare-stoplists/", stoplists.compare, name="stoplist-compare"),
    path(STOPLIST, stoplists.edit_table, name="stoplist-table"),
    path(STOPLIST + "copy/", stoplists.copy, name="stoplist-copy"),
    path(STOPLIST + "scheme/", schemes.edit_scheme, name="scheme-table"),
    path(STOPLIST + "scheme/try/", schemes.try_out, name="scheme-try"),
]
of_condition = [
    path(INSTRUMENT + "course/", courses.show, name="course"),
    path(INSTRUMENT + "next-visit/", visits.next_visit, name="next-visit"),
    path(INSTRUMENT + "trials/", trials.edit, name="trials"),
    path(INSTRUMENT + "trials/trace/", trials.trace_typed, name="trials-trace"),
    path(INSTRUMENT + "test-plan/", loft.show_plan, name="test-plan"),
    path(INSTRUMENT + "field-sheet/", loft.show_sheet, name="field-sheet"),
]
of_danger = [
    path("danger/", danger.show_list, name="danger-list"),
    path(INSTRUMENT + "danger/", danger.show, name="danger"),
    path(INSTRUMENT + "danger/decide/", danger.decide, name="danger-decide"),
]
of_photographs = [
    path(INSTRUMENT + "add-photographs/", photographs.add, name="photographs-add"),
    path(INSTRUMENT + "photographs/<str:code>/", photographs.edit_regions, name="photograph"),
    path(INSTRUMENT + "photographs/<str:code>/file/", photographs.serve, name="photograph-file"),
]
of_works = [
    path(INSTRUMENT + "works/", works.show, name="works"),
    path(INSTRUMENT + "works/choose/", works.choose, name="works-choose"),
    path(INSTRUMENT + "works/give-pipes/", works.give, name="pipe-give"),
    path(INSTRUMENT + "works/take-back/", works.take_back, name="pipe-take-back"),
]
of_help = [
    path("language/", set_language, name="language"),
    path("translations/", languages.show, name="translations"),
    path("help/<slug:page>/", helping.help_page, name="help"),
    path("dates/reading/", helping.reading, name="date-reading"),
]

urlpatterns = [
    *signing_in,
    *of_people,
    *of_help,
    *of_findings,
    *of_stoplists,
    *of_condition,
    *of_danger,
    *of_photographs,
    *of_works,
    *of_finding,
    *of_changes,
    *of_evidence,
    *of_rows,
    *of_records,
]
