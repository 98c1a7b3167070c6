"""A panel whose fixings were surveyed: they stand there as points, and with them how well they are known."""

from pydantic import InstanceOf

from mounts.geometry.survey.survey import Survey
from mounts.load.models.panel import Panel


class SurveyedPanel(Panel):
    """A panel after its readings were solved; no file gives one, only `load.surveys` does."""

    survey: InstanceOf[Survey]
