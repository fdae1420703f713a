"""Every question to the records that names an association, asked with the rows of `full`."""

from collections.abc import Callable

from sqlalchemy import select

from service.records.audit_list import audit_about
from service.records.bulk_looks import (
    container_looks,
    has_uses,
    household_spans,
    planting_looks,
)
from service.records.containers import containers
from service.records.dose_evenings import evenings_told
from service.records.engine import Session
from service.records.enrolment import (
    aliases_by_code,
    areas,
    consent_by_key,
    find_area,
    plantings_on_plot,
    plot_by_id,
    sign_rows,
)
from service.records.household_codes import household_coded
from service.records.household_list import (
    count_households,
    grounds_of_households,
    household_lines,
    phones_of_households,
)
from service.records.household_page import (
    household_by_id,
    open_tasks_of_household,
    plantings_of_household,
    plots_of_household,
)
from service.records.household_talk import count_talk, notes_of_texts, talk_of_phones
from service.records.inbox import (
    answers_to,
    inbound,
    reading_list,
    same_meaning_since,
    text_for_reading,
    texts_since,
)
from service.records.intake import (
    find_areas,
    find_consents,
    find_container_events,
    find_containers,
    find_households,
    find_imported_days,
    find_links,
    find_open_plantings,
    find_phones,
    find_plantings,
    find_plots,
)
from service.records.last_looks import dose_looks, phone_looks, unread_looks
from service.records.lookups import dose_by_id, letter_of_dose
from service.records.phones import (
    phone_by_id,
    phone_by_number,
    phone_ids_of,
    phones,
    phones_by_ids,
)
from service.records.plantings import (
    all_plantings,
    open_plantings,
    planting_bundle,
)
from service.records.pretend_phones import count_phones, pretend_phone, pretend_phones
from service.records.routes import routes
from service.records.season_report import (
    all_messages,
    claimed_at,
    days_left,
    dose_counts,
    dose_links,
    doses_told_by_call,
    flag_counts,
    next_due_at,
    readings,
    shares_to_plan,
    task_counts,
    traffic,
)
from service.records.shares import ensure_shares, households_of_share
from service.records.staff_queries import codes_left, lock_admins, present_staff, staff_by_id
from service.records.staff_sessions import open_sessions
from service.records.tasks import known_task_keys, open_tasks
from service.records.traffic import CallTaskRow, MessageDoseRow
from service.records.ussd import dropped_ussd_session, ussd_session
from service.records.waiting import waiting_counts
from tests.unit.records.full import FULL_NOW, PHONE_ID, SESSION
from tests.unit.records.full_staff import STAFF_ID
from tests.unit.records.page_looks import PAGE_LOOKS
from tests.unit.records.stock_looks import STOCK_LOOKS
from tests.world import PHONE, START

Look = Callable[[Session, int], object]

LOOKS: dict[str, Look] = {
    "areas": areas,
    "count_phones": count_phones,
    "pretend_phone": lambda session, tenant: pretend_phone(session, tenant, PHONE_ID),
    "pretend_phones": pretend_phones,
    "waiting_counts": lambda session, tenant: (
        waiting_counts(session, tenant, today=FULL_NOW.date()).tasks
    ),
    "aliases_by_code": aliases_by_code,
    "consent_by_key": lambda session, tenant: consent_by_key(session, tenant, "H01:0"),
    "find_area": lambda session, tenant: find_area(session, tenant, 1),
    "plantings_on_plot": lambda session, tenant: plantings_on_plot(session, tenant, 1),
    "plot_by_id": lambda session, tenant: plot_by_id(session, tenant, 1),
    "sign_rows": lambda session, tenant: sign_rows(session, tenant, [1]).plots,
    "all_messages": all_messages,
    "all_plantings": all_plantings,
    "audit_about": lambda session, tenant: audit_about(session, tenant, subject="area-hold"),
    "claimed_at": claimed_at,
    "codes_left": lambda session, tenant: codes_left(session, tenant, STAFF_ID),
    "container_looks": lambda session, tenant: container_looks(session, tenant, [1]),
    "containers": containers,
    "has_uses": has_uses,
    "household_spans": lambda session, tenant: list(household_spans(session, tenant, size=2)),
    "planting_looks": lambda session, tenant: planting_looks(session, tenant, (1, 9)),
    "days_left": lambda session, tenant: days_left(session, tenant, kind="dose_rain"),
    "dose_by_id": lambda session, tenant: dose_by_id(session, tenant, 1),
    "dose_counts": dose_counts,
    "dose_links": dose_links,
    "doses_told_by_call": doses_told_by_call,
    "evenings_told": evenings_told,
    "find_areas": find_areas,
    "find_consents": find_consents,
    "find_container_events": find_container_events,
    "find_containers": find_containers,
    "find_households": find_households,
    "find_imported_days": find_imported_days,
    "find_links": find_links,
    "find_open_plantings": find_open_plantings,
    "find_phones": find_phones,
    "find_plantings": find_plantings,
    "find_plots": find_plots,
    "flag_counts": flag_counts,
    "count_households": count_households,
    "count_talk": lambda session, tenant: count_talk(session, tenant, [PHONE_ID]),
    "grounds_of_households": lambda session, tenant: grounds_of_households(session, tenant, [1]),
    "household_by_id": lambda session, tenant: household_by_id(session, tenant, 1),
    "household_lines": lambda session, tenant: household_lines(session, tenant, first=0, most=9),
    "notes_of_texts": lambda session, tenant: notes_of_texts(
        session, tenant, [PHONE_ID], texts=[inbound(session, 1, 1)]
    ),
    "open_tasks_of_household": lambda session, tenant: open_tasks_of_household(
        session, tenant, 1, phones=[PHONE_ID]
    ),
    "phones_of_households": lambda session, tenant: phones_of_households(session, tenant, [1]),
    "plantings_of_household": lambda session, tenant: plantings_of_household(session, tenant, 1),
    "plots_of_household": lambda session, tenant: plots_of_household(session, tenant, 1),
    "talk_of_phones": lambda session, tenant: talk_of_phones(
        session, tenant, [PHONE_ID], first=0, most=9
    ),
    "inbound": lambda session, tenant: inbound(session, tenant, 1),
    "lock_admins": lock_admins,
    "next_due_at": next_due_at,
    "open_plantings": open_plantings,
    "open_sessions": lambda session, tenant: open_sessions(session, tenant, STAFF_ID),
    "open_tasks": open_tasks,
    "phone_by_id": lambda session, tenant: phone_by_id(session, tenant, PHONE_ID),
    "phone_by_number": lambda session, tenant: phone_by_number(session, tenant, PHONE),
    "letter_of_dose": lambda session, tenant: letter_of_dose(session, tenant, 1),
    "phones": phones,
    "present_staff": present_staff,
    "planting_bundle": lambda session, tenant: planting_bundle(session, tenant, 1),
    "answers_to": lambda session, tenant: answers_to(session, tenant, 1),
    "household_coded": lambda session, tenant: household_coded(session, tenant, "h01"),
    "phones_by_ids": lambda session, tenant: phones_by_ids(session, tenant, [PHONE_ID]),
    "text_for_reading": lambda session, tenant: text_for_reading(session, tenant, 2),
    "reading_list": reading_list,
    "routes": routes,
    "phone_looks": lambda session, tenant: phone_looks(session, tenant, [PHONE_ID]),
    "unread_looks": lambda session, tenant: unread_looks(session, tenant, [PHONE_ID]),
    "dose_looks": lambda session, tenant: dose_looks(
        session, tenant, list(session.scalars(select(MessageDoseRow.message_id)))
    ),
    "readings": readings,
    "shares_to_plan": lambda session, tenant: shares_to_plan(session, tenant, since=FULL_NOW),
    "same_meaning_since": lambda session, tenant: same_meaning_since(
        session, tenant, PHONE_ID, meaning="done", hint="A1-0", since=START, before_id=99
    ),
    "staff_by_id": lambda session, tenant: staff_by_id(session, tenant, STAFF_ID),
    "task_counts": task_counts,
    "known_task_keys": lambda session, tenant: known_task_keys(
        session, tenant, session.scalars(select(CallTaskRow.key))
    ),
    "phone_ids_of": lambda session, tenant: phone_ids_of(session, tenant, [1]),
    "households_of_share": lambda session, tenant: households_of_share(session, tenant, 0),
    "ensure_shares": ensure_shares,
    "texts_since": lambda session, tenant: texts_since(session, tenant, PHONE, since=START),
    "traffic": traffic,
    "ussd_session": lambda session, tenant: ussd_session(session, tenant, 1, SESSION),
    "dropped_ussd_session": lambda session, tenant: dropped_ussd_session(
        session, tenant, 1, PHONE, now=FULL_NOW, but="another"
    ),
    **PAGE_LOOKS,
    **STOCK_LOOKS,
}

WRITES = {  # tested one by one below, or they only ever add rows of the tenant they are given
    "take_oldest_share",  # this and the next: test_shares.py
    "take_share",
    "wait_for_turn",  # changes nothing: test_turns.py
    "dose_writer",  # this and the next two: test_bulk_doses.py
    "insert_doses",
    "update_doses",
    "add_area_hold",  # this and the next six: test_locality_acts.py
    "add_local_value",
    "add_season_span",
    "set_store_c",
    "set_ceiling",  # tests/web/test_routes.py
    "withdraw_area_hold",
    "withdraw_local_value",
    "withdraw_season_span",
    "close_about_emergence",  # test_crop_reports.py
    "close_about_planting",  # test_crop_turns.py
    "failed_plantings",  # test_crop_turns.py: no crop of the full association has failed
    "close_request",  # this and the next two: test_requests.py
    "request_number",
    "said_by_strangers",
    "free_plots",  # test_enrolment_queries.py: the full association has nothing but planted ground
    "first_post",  # this and the next two: test_form_posts.py
    "post_of",
    "set_location",
    "wish_to_join",  # test_wish_to_join.py: the full association has nobody who wants to join
    "lock_association",  # of the tenant's own row
    "neighbours",  # test_enrolment_queries.py: the full association has one household alone
    "add_ussd_session",  # this and the next: test_ussd_sessions.py
    "forget_ussd_sessions",
    "add_can_event",
    "add_codes",  # this and all that change the staff: test_staff_tenants.py
    "add_consent",
    "add_hold",
    "add_staff_row",
    "audit",
    "close_for_dose",
    "close_task",
    "end_links",
    "end_session",
    "end_sessions",
    "ensure_route",
    "join_part",  # this and the next: test_inbound_parts.py
    "overdue_parts",
    "park_text",  # this and the next: test_parked_texts.py
    "take_parked",
    "retire_others",  # this and the next: tests/unit/outbox/test_routing.py
    "switch_route",
    "mark_read",
    "mark_told",  # tests/unit/confirmations/test_calls.py
    "open_session",
    "open_task",
    "put_off_task",
    "remove_staff_row",
    "see_session",
    "set_language",
    "set_password",
    "set_totp",
    "take_step",
    "use_code",
    "use_link",
    "association",
}
