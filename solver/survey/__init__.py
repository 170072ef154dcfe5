"""From redundant measurements to points: weighted least squares with covariance, checks and advice."""

from solver.survey.adjust import Survey, adjust
from solver.survey.measurement import Kind, Measurement, SurveyError

__all__ = ["Kind", "Measurement", "Survey", "SurveyError", "adjust"]
