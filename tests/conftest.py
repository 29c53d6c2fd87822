"""Closes every run with the hosts that were tested, and loudly with those that were not."""


def pytest_terminal_summary(terminalreporter):
    reports = [r for kind in ("passed", "failed") for r in terminalreporter.stats.get(kind, ())]
    tested = sorted({value for r in reports for name, value in r.user_properties if name == "host"})
    reasons = [str(r.longrepr[2]) for r in terminalreporter.stats.get("skipped", ()) if isinstance(r.longrepr, tuple)]
    missing = sorted({reason[reason.index("NOT TESTED") :] for reason in reasons if "NOT TESTED" in reason})
    if tested or missing:
        terminalreporter.section("hosts")
    if tested:
        terminalreporter.write_line(f"TESTED: {', '.join(tested)}", green=True)
    for line in missing:
        terminalreporter.write_line(line, red=True, bold=True)
