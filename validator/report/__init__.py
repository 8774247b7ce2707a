"""Reports: functions from what was found to text, one file a format."""
