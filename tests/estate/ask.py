"""Makes sites of panels from the demo, checks them all, and asks which limits fail where, and by which document."""

import shutil
import subprocess
import sys
from pathlib import Path

import duckdb

SITES, PANELS = 25, 12
root, work, wattle = Path(sys.argv[1]), Path(sys.argv[2]), sys.argv[3]
demo = root / "examples" / "saltmarsh"


def small(site, panel):
    """A battery far too small: 2 Ah where the demo's 7 Ah is just enough."""
    return site % 5 == 2 and panel in (3, 7)


def broken(site, panel):
    """A sheet that is not there."""
    return site % 6 == 1 and panel == 5


def own(site):
    """A sheet beside the jobs that stands in for the built-in one."""
    return site == 4


def make():
    text = (demo / "fp1.toml").read_text()
    assert text.count('value = "7 Ah"') == 1 and text.count('use = "battery"') == 1
    jobs = []
    for site in range(SITES):
        folder = work / f"site-{site:02}"
        folder.mkdir()
        shutil.copy(demo / "equipment.csv", folder)
        if own(site):
            shutil.copy(root / "sheets" / "battery.sheet", folder)
        for panel in range(PANELS):
            job = folder / f"fp-{panel:02}.toml"
            changed = text.replace('"7 Ah"', '"2 Ah"') if small(site, panel) else text
            changed = changed.replace('use = "battery"', 'use = "batery"') if broken(site, panel) else changed
            job.write_text(changed)
            jobs.append(str(job))
    return jobs


def told(what, found, expected):
    if found != expected:
        sys.exit(f"{what}: expected {expected}, found {found}")
    print(f"{what}: as expected")


jobs = make()
lines = work / "estate.jsonl"
with lines.open("w") as out:
    done = subprocess.run([wattle, "check", "--format", "json", "--on", "2026-11-25", *jobs], stdout=out, check=False)
told("exit code, for what could not be read", done.returncode, 2)

estate = f"read_json('{lines}', format = 'newline_delimited')"
failing = duckdb.sql(f"""
    select string_split(job, '/')[-2] as site, l.source as source, l.name as "limit", count(*) as jobs
    from {estate}, unnest(sheets) as of_job(s), unnest(s.limits) as of_sheet(l)
    where l.strength = 'must' and l.verdict in ('fail', 'unsure', 'unworkable')
    group by all order by all""")
print(failing)
expected = [
    (f"site-{site:02}", "BS 5839-1", "large_enough", sum(small(site, panel) for panel in range(PANELS)))
    for site in range(SITES)
    if any(small(site, panel) for panel in range(PANELS))
]
told("failing limits by site and source", failing.fetchall(), expected)

order = duckdb.sql(f"select job from {estate}").fetchall()
told("a line for each job, in their order", [job for (job,) in order], jobs)

unread = duckdb.sql(f"select job, f.message from {estate}, unnest(faults) as of_job(f) where verdict is null").fetchall()
wrong = [f"site-{s:02}/fp-{p:02}.toml" for s in range(SITES) for p in range(PANELS) if broken(s, p)]
told("jobs that could not be read", ["/".join(job.split("/")[-2:]) for job, _ in unread], wrong)

stands_in = duckdb.sql(f"""
    select distinct string_split(job, '/')[-2] from {estate}, unnest(remarks) as of_job(remark)
    where remark like '%stands in%'""").fetchall()
told("only a site with a sheet of its own says so", stands_in, [(f"site-{s:02}",) for s in range(SITES) if own(s)])
