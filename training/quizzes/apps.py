"""The quizzes app: exam plans, sittings, judgements and results."""

from django.apps import AppConfig


class QuizzesConfig(AppConfig):
    name = "training.quizzes"
    label = "quizzes"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from training.quizzes.known_pictures import picture_is_known  # noqa: PLC0415
        from training.quizzes.turned_words import ended_exams  # noqa: PLC0415 - needs the models
        from training.specimens.keeping_out import tell_what_keeps_out  # noqa: PLC0415
        from training.specimens.resting import tell_what_rests  # noqa: PLC0415

        tell_what_keeps_out("quizzes", picture_is_known)
        tell_what_rests("quizzes", ended_exams, place=1)
