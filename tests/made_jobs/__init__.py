"""Invented jobs that are known to fit, or known not to, by the way they are made.

A job that fits is made backwards: sheets and sticks are cut up at random by saws with
their kerf, and what comes out is asked for as parts. A job that cannot fit is one that
fits, made worse in one way that leaves no doubt. All is drawn from one seed; nothing
here knows the solver.
"""

from made_jobs.fitting import fitting_job as fitting_job
from made_jobs.folder import alike as alike
from made_jobs.folder import write_job_folder as write_job_folder
from made_jobs.impossible import impossible_job as impossible_job
from made_jobs.impossible import verdict_of as verdict_of
from made_jobs.kinds import MadeJob as MadeJob
from made_jobs.kinds import Verdict as Verdict
