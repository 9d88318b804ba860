"""The machine interface of the site: every app's router under one address."""

from ninja import NinjaAPI

from certification.staffing.api import router as staffing

api = NinjaAPI(
    title="Witness Line",
    version="1",
    urls_namespace="api",
    description="Ask who may run which job now.",
)
api.add_router("", staffing)
