"""The route table: which role may open which page, and whether from a floor device.

It is the only place that decides access to a route. The middleware refuses every route that is not
listed here, and a test walks all routes and roles. Which *object* somebody may see (their own
sitting, their own results) is decided by the view that fetches it.
"""

from dataclasses import dataclass

from training.people.models import Role

OPERATOR, TRAINER, SUPERVISOR = Role.OPERATOR, Role.TRAINER, Role.SUPERVISOR
QUALITY, AUDITOR, ADMINISTRATOR = Role.QUALITY, Role.AUDITOR, Role.ADMINISTRATOR


@dataclass(frozen=True)
class Route:
    """Who may open a route; `floor` routes are open to floor sessions, the others are not."""

    roles: frozenset[str]
    floor: bool = False
    public: bool = False


def _for(*roles: str, floor: bool = False) -> Route:
    return Route(frozenset(roles), floor)


EVERYBODY = frozenset(Role.values)
PUBLIC = Route(EVERYBODY, floor=True, public=True)
SIGNED_IN = Route(EVERYBODY, floor=True)
LEARNERS = _for(OPERATOR, TRAINER, SUPERVISOR, QUALITY, floor=True)
OFFICE = _for(TRAINER, SUPERVISOR, QUALITY, AUDITOR, ADMINISTRATOR)

ROUTES: dict[str, Route] = {
    # Start, sign-in, language
    "site:start": PUBLIC,
    "site:health": PUBLIC,
    "set_language": PUBLIC,
    "people:floor_sign_in": PUBLIC,
    "people:office_sign_in": PUBLIC,
    "people:sign_out": PUBLIC,
    "people:change_pin": SIGNED_IN,
    "people:change_password": OFFICE,
    # People and devices
    "people:person_list": OFFICE,
    "people:person_detail": OFFICE,
    "people:person_add": _for(QUALITY, ADMINISTRATOR, TRAINER),
    "people:person_edit": _for(QUALITY, ADMINISTRATOR, TRAINER),
    "people:pin_reset": _for(QUALITY, ADMINISTRATOR, TRAINER, SUPERVISOR),
    "people:password_reset": _for(QUALITY, ADMINISTRATOR),
    "people:device_list": _for(QUALITY, ADMINISTRATOR),
    "people:device_enrol": _for(QUALITY, ADMINISTRATOR),
    "people:device_invite": _for(QUALITY, ADMINISTRATOR),
    # The invitation itself is the key.
    "people:device_join": PUBLIC,
    "people:device_withdraw": _for(QUALITY, ADMINISTRATOR),
    "people:import_people": _for(QUALITY, ADMINISTRATOR),
    # The floor
    "floor:family_list": OFFICE,
    "floor:job_list": SIGNED_IN,
    "floor:job_sheet": SIGNED_IN,
    "floor:limit_add": _for(QUALITY),
    "floor:pace_set": _for(QUALITY),
    "floor:alert_list": OFFICE,
    "floor:alert_add": _for(QUALITY),
    "floor:alert_detail": OFFICE,
    "floor:alert_withdraw": _for(QUALITY),
    "floor:concession_list": OFFICE,
    "floor:concession_add": _for(QUALITY),
    "floor:concession_detail": OFFICE,
    "floor:concession_sign": _for(QUALITY),
    "floor:concession_count": _for(SUPERVISOR, QUALITY),
    "floor:concession_withdraw": _for(QUALITY),
    "floor:acknowledge": LEARNERS,
    "floor:reading_check": _for(TRAINER, QUALITY, floor=True),
    "floor:import_jobs": _for(QUALITY, ADMINISTRATOR),
    # Specimens
    "specimens:specimen_list": _for(TRAINER, QUALITY, AUDITOR),
    "specimens:specimen_add": _for(QUALITY),
    "specimens:specimen_detail": _for(TRAINER, QUALITY, AUDITOR),
    "specimens:outline": _for(QUALITY),
    "specimens:series_list": _for(TRAINER, QUALITY, AUDITOR),
    "specimens:series_add": _for(QUALITY),
    "specimens:series_retire": _for(QUALITY),
    "specimens:series_bring_back": _for(QUALITY),
    "specimens:decide": _for(QUALITY),
    "specimens:decide_again": _for(QUALITY),
    "specimens:rate": _for(QUALITY),
    "specimens:view_add": _for(QUALITY),
    "specimens:move_pool": _for(QUALITY),
    "specimens:retire": _for(QUALITY),
    "specimens:bring_back": _for(QUALITY),
    "specimens:panel_list": Route(LEARNERS.roles | {AUDITOR}, floor=True),
    "specimens:panel_open": _for(QUALITY),
    "specimens:panel_round": Route(LEARNERS.roles | {AUDITOR}, floor=True),
    "specimens:panel_close": _for(QUALITY),
    "specimens:panel_unsettled": _for(QUALITY),
    "specimens:panel_look": LEARNERS,
    "specimens:panel_part": LEARNERS,
    "specimens:panel_answer": LEARNERS,
    "specimens:panel_frame": LEARNERS,
    "specimens:frame": _for(TRAINER, QUALITY, AUDITOR),
    "specimens:small_frame": _for(TRAINER, QUALITY, AUDITOR),
    "specimens:first_piece_frame": SIGNED_IN,
    "specimens:first_piece_picture": SIGNED_IN,
    "specimens:first_piece_approve": _for(QUALITY),
    "specimens:real_part_list": _for(TRAINER, QUALITY, AUDITOR),
    "specimens:real_part_export": _for(TRAINER, QUALITY, AUDITOR),
    "specimens:real_part_add": _for(QUALITY),
    "specimens:real_part": _for(TRAINER, QUALITY, AUDITOR),
    "specimens:limit_sample_add": _for(QUALITY),
    "specimens:limit_sample": _for(TRAINER, QUALITY, AUDITOR),
    "specimens:copy_withdraw": _for(QUALITY),
    # Lessons
    "lessons:lesson_list": SIGNED_IN,
    "lessons:lesson": SIGNED_IN,
    "lessons:read": LEARNERS,
    "lessons:frame": SIGNED_IN,
    "lessons:hints": SIGNED_IN,
    "lessons:tell_apart": SIGNED_IN,
    # Quizzes
    "quizzes:practice_list": LEARNERS,
    "quizzes:practice_start": LEARNERS,
    "quizzes:contrast": LEARNERS,
    "quizzes:look_alikes": LEARNERS,
    "quizzes:find_limit": LEARNERS,
    "quizzes:refresher_start": LEARNERS,
    "quizzes:low_rate_start": LEARNERS,
    "quizzes:low_rate_result": SIGNED_IN,
    "quizzes:exercise": LEARNERS,
    "quizzes:exercise_step": LEARNERS,
    "quizzes:exercise_answer": LEARNERS,
    "quizzes:open_qualification": _for(TRAINER, QUALITY, floor=True),
    "quizzes:opened": _for(TRAINER, QUALITY, floor=True),
    "quizzes:printed_order": _for(TRAINER, QUALITY, floor=True),
    "quizzes:screen_check": _for(TRAINER, QUALITY, floor=True),
    "quizzes:draw": _for(QUALITY, AUDITOR),
    "quizzes:move": _for(TRAINER, QUALITY, floor=True),
    "quizzes:coaching_add": _for(TRAINER, QUALITY, floor=True),
    "quizzes:abandon": LEARNERS,
    "quizzes:booth": LEARNERS,
    "quizzes:part": LEARNERS,
    "quizzes:feedback": LEARNERS,
    "quizzes:family_picture": LEARNERS,
    "quizzes:judge": LEARNERS,
    "quizzes:frame": LEARNERS,
    "quizzes:first_piece_frame": LEARNERS,
    "quizzes:result": SIGNED_IN,
    "quizzes:resting_on": _for(QUALITY, AUDITOR),
    "quizzes:rescore": _for(QUALITY),
    "quizzes:report": SIGNED_IN,
    "quizzes:report_export": Route(EVERYBODY),
    "quizzes:sitting_list": _for(TRAINER, QUALITY, AUDITOR, SUPERVISOR),
    "quizzes:specimen_statistics": _for(TRAINER, QUALITY, AUDITOR),
    "quizzes:specimen_statistics_export": _for(TRAINER, QUALITY, AUDITOR),
    "quizzes:specimen_answers": _for(TRAINER, QUALITY, AUDITOR),
    "quizzes:difficulty_map": _for(TRAINER, QUALITY, AUDITOR),
    "quizzes:missed_when": _for(TRAINER, SUPERVISOR, QUALITY, AUDITOR),
    "quizzes:panel_members": _for(QUALITY, AUDITOR),
    "quizzes:plan_list": _for(TRAINER, QUALITY, AUDITOR),
    "quizzes:publish_defaults": _for(QUALITY),
    "quizzes:plan_detail": _for(TRAINER, QUALITY, AUDITOR),
    "quizzes:plan_add": _for(QUALITY),
    "quizzes:plan_revise": _for(QUALITY),
    "quizzes:plan_approve": _for(QUALITY, TRAINER),
    "quizzes:plan_discard": _for(QUALITY),
    "quizzes:plan_review": _for(QUALITY, AUDITOR),
    "quizzes:specimens_wanted": _for(TRAINER, QUALITY, AUDITOR),
    # An importing administrator arrives at the list; results show what exam specimens are.
    "quizzes:study_list": _for(QUALITY, AUDITOR, ADMINISTRATOR),
    "quizzes:study_add": _for(QUALITY),
    "quizzes:study": _for(QUALITY, AUDITOR),
    "quizzes:study_round": Route(LEARNERS.roles | frozenset({AUDITOR}), floor=True),
    "quizzes:study_import": _for(QUALITY, ADMINISTRATOR),
    "quizzes:study_export": _for(QUALITY, AUDITOR),
    "quizzes:study_pdf": _for(QUALITY, AUDITOR),
    "quizzes:study_close": _for(QUALITY),
    # Certificates
    "certificates:waiting": _for(QUALITY),
    "certificates:decide": _for(QUALITY),
    "certificates:grant_by_rule": _for(QUALITY),
    "certificates:certificate": SIGNED_IN,
    "certificates:corrected": _for(QUALITY),
    "certificates:suspend": _for(QUALITY),
    "certificates:lift": _for(QUALITY),
    "certificates:person_certificates": OFFICE,
    "certificates:import_certificates": _for(QUALITY, ADMINISTRATOR),
    "certificates:import_observed_checks": _for(QUALITY, ADMINISTRATOR),
    # Matrix and staffing
    "matrix:matrix": OFFICE,
    "matrix:export": OFFICE,
    "staffing:press_check": Route(OFFICE.roles | LEARNERS.roles, floor=True),
    "staffing:take_press": LEARNERS,
    "staffing:leave_press": LEARNERS,
    # Own page, builders' page, the API
    "site:my_work": LEARNERS,
    "site:look": _for(ADMINISTRATOR, QUALITY),
    "api:press_check": Route(OFFICE.roles | LEARNERS.roles, floor=True, public=True),
    "api:openapi-json": OFFICE,
    "api:openapi-view": OFFICE,
    "api:api-root": OFFICE,
}

# What each role finds in the head of the page, in order: (route, label in English).
ROOMS: dict[str, tuple[str, ...]] = {
    OPERATOR: ("site:my_work", "lessons:lesson_list", "quizzes:practice_list"),
    TRAINER: (
        "site:my_work",
        "lessons:lesson_list",
        "quizzes:practice_list",
        "quizzes:open_qualification",
        "quizzes:sitting_list",
        "matrix:matrix",
        "people:person_list",
    ),
    SUPERVISOR: (
        "matrix:matrix",
        "staffing:press_check",
        "quizzes:sitting_list",
        "floor:job_list",
        "people:person_list",
    ),
    QUALITY: (
        "certificates:waiting",
        "floor:job_list",
        "specimens:specimen_list",
        "quizzes:open_qualification",
        "quizzes:plan_list",
        "matrix:matrix",
        "people:person_list",
    ),
    AUDITOR: ("matrix:matrix", "quizzes:sitting_list", "floor:job_list", "people:person_list"),
    ADMINISTRATOR: ("people:person_list", "people:device_list", "matrix:matrix"),
}


def may_open(view_name: str, roles: frozenset[str], *, on_floor: bool) -> bool:
    """Return whether somebody with these roles may open the route in this kind of session."""
    route = ROUTES.get(view_name)
    if route is None or (on_floor and not route.floor):
        return False
    return route.public or bool(route.roles & roles)
