"""A debrief as files: ``debrief.json`` with its schema, and ``samples.csv``."""

from legwise.record.document import json_schema, record_json, track_json
from legwise.record.plan import plan_json
from legwise.record.samples import samples_frame, write_samples

__all__ = ["json_schema", "plan_json", "record_json", "samples_frame", "track_json", "write_samples"]
