"""Every past job, against any rule: read, judged over all cores, kept, and told by what breaks."""
