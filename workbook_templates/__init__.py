"""Template workbooks, and beside each the script that builds it."""
