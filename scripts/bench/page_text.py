"""The sentences of the page of benchmarks that do not depend on what was measured."""

from __future__ import annotations

from typing import Final

INTRODUCTION: Final = """\
# Benchmarks

This page is written by `scripts/benchmark_page.py` from result files; nobody edits its
figures. To measure everything again, with the data in one folder, and write it anew:

```
python3 scripts/run.py measure DATA_FOLDER
```

`--help` tells how to measure a part of it, or for a shorter time. Every instance is
solved as a job is: the same search for the least cost, layouts, cut order and check.
Seconds are those of the clock on the wall and of the search alone, unless it says
otherwise, and none counts the compiler's work, which is done once after an install.

A *bound* is a figure that no plan of the same cuts can go below, and was found by the
same run; *proven* counts the instances whose value equals it. The *gap* is (value -
bound) / bound."""

SHEETS_NOTE: Final = """\
Cuts from edge to edge, any number of stages, no kerf, no trim. The value is the number
of sheets where all are of one size, else their cost. *Known best* is published for
cutting freely, which cuts from edge to edge can at best equal, and is known of some
instances only: the next three columns are sums over just these."""

PUBLISHED_NOTE: Final = """\
Sheets that published methods need for *all* 500 instances of BWMV, 50 in each class.
Where the tables above hold fewer instances of a class (they do if they were measured on
one half of them), their totals cannot be compared with these. All the methods cut
freely. The first four columns are without turning. The totals are as a public
collection of results has transcribed them from the papers; titles and pages are from
memory."""

FORM: Final = """\
## The form of the data

A file is a JSON list, compressed by gzip; `measure` looks for `sheets_2bp.json.gz`,
`sheets_vs2d.json.gz` and `boards_1d.json.gz`. Lengths and costs are whole numbers in
any unit. Keys that are not named here are left alone.

| key | means |
| --- | --- |
| `name` | of the instance; needed, once only, fit for a file's name |
| `set`, `class` | what the rows are grouped by |
| `sheet` | sheets: `[length, width]`, as many as needed |
| `sheets` | several sizes: `[length, width, cost, limit]`; without a limit `null` |
| `stock` | sticks: `[length, cost, limit]` |
| `parts` | `[length, width, quantity]`, for sticks `[length, quantity]` |
| `lb_best_O`, `lb_dff_O`, `lb_area_O` | known lower bounds, without turning |
| `lb_dff_R`, `lb_area_cost` | the same with turning, and of a cost |
| `best_OF`, `best_RF` | best published value, cut freely, without and with turning |
| `optimal` | the optimum, under just the rules of the benchmark |"""
