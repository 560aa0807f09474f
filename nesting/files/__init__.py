"""Jobs and part lists in, plans out: every fault told with its place, none decided."""

from nesting.files.blanks_csv import write_blanks_csv as write_blanks_csv
from nesting.files.folder import write_folder as write_folder
from nesting.files.job_file import read_job as read_job
from nesting.files.new_job import new_job as new_job
from nesting.files.new_job import starter_files as starter_files
from nesting.files.plan_json import parse_plan as parse_plan
from nesting.files.plan_json import read_plan as read_plan
from nesting.files.plan_json import write_plan as write_plan
from nesting.files.plan_schema import plan_schema as plan_schema
from nesting.files.quick_job import quick_job as quick_job
from nesting.files.routes_csv import write_routes_csv as write_routes_csv
