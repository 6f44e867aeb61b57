"""The caseround.toml that a new workspace starts with: everything but the time zone is a comment."""

COMMENTED = '''\
# What this service decided about its exports. Each line that starts with # is an example or a default.

# Times in exports without an offset are local to this zone, and a day ends when it ends there.
time_zone = "UTC"

# A file with at least 50 rows of which more than this share is held back is refused as a whole.
# held_share_max = 0.2

# A held row leaves the waiting list when a good version arrives, or after this many days.
# held_for_days = 90

# "Since last time" on the pages means since the audit this many days before.
# audit_every_days = 7

# At most this many pages for single people are written.
# client_pages_max = 2000

# How many days apart each export is expected. Only feeds named here can be late.
# [expected_days]
# assessments = 7
# loans = 7

# An export with other headings or codes. Files that fit `match` are read this way. Give each record system its own
# name: records are told apart by feed, source and id.
# [[source]]
# name = "ward_system"
# match = "ward_*.csv"
# feed = "assessments"
# date_format = "%d/%m/%Y %H:%M"
# delivers = "changes"              # or "snapshot": a record that is absent from a newer file has ended
# updated_at = "file name, %Y%m%d"  # when the export has no column for the time of change
# ignore = ["Ward comment"]         # headings that may stay unmapped
#
# [source.columns]                  # their heading = our column
# "Assessment no" = "assessment_id"
# "Patient code" = "client_id"
#
# [source.codes.scale]              # of our column: their code = our code
# "BRADEN SCALE" = "braden"
'''
