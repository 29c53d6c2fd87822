#!/usr/bin/env bash
# Sets up what the tests need, real LibreOffice Calc and Gnumeric included, and runs them all:
#   bash tests/run.sh [arguments for pytest]
# On Debian and Ubuntu, missing packages are installed when this may be done (as root, or with sudo that asks nothing).
# Elsewhere it uses what is there; the closing lines say which host was not tested. With CI set, every host must be there.
set -euo pipefail
cd "$(dirname "$0")/.."
venv=.venv-test
oldest_calc=25.2
export DEBIAN_FRONTEND=noninteractive PIP_DISABLE_PIP_VERSION_CHECK=1

say() { printf '== %s\n' "$*"; }
loud() { printf '\n!! %s\n\n' "$*" >&2; }

may_install() {
    command -v apt-get >/dev/null && { [ "$(id -u)" = 0 ] || sudo -n true 2>/dev/null; }
}
as_root() {
    if [ "$(id -u)" = 0 ]; then "$@"; else sudo -n --preserve-env=DEBIAN_FRONTEND "$@"; fi
}
lists_are_new=
apt_update() {
    [ -n "$lists_are_new" ] && return
    say "Reading the package lists"
    as_root apt-get update -qq || loud "some package lists could not be read"
    lists_are_new=yes
}
apt_install() {
    apt_update
    say "Installing $*"
    as_root apt-get install -y -qq --no-install-recommends "$@" >/dev/null
}

# --- Python -----------------------------------------------------------------------------------------------------------

fits() { command -v "$1" >/dev/null && "$1" -c 'import sys; sys.exit(sys.version_info < (3, 10))' 2>/dev/null; }
pick_python() {
    for name in "${PYTHON:-python3}" python3.13 python3.12 python3.11 /usr/bin/python3; do
        if fits "$name"; then echo "$name"; return; fi
    done
    return 1
}
if ! python=$(pick_python); then
    if ! may_install; then loud "Python 3.10 or newer is needed: install it and try again"; exit 2; fi
    apt_install python3 python3-venv
    python=$(pick_python) || { loud "this system's Python is older than 3.10: install a newer one"; exit 2; }
fi
if [ ! -x "$venv/bin/python" ]; then
    if ! "$python" -c 'import ensurepip, venv' 2>/dev/null; then
        if ! may_install; then loud "Python's venv is missing: install python3-venv and try again"; exit 2; fi
        apt_install "python$("$python" -c 'import sys; print("%d.%d" % sys.version_info[:2])')-venv"
    fi
    say "Making $venv with $("$python" --version)"
    "$python" -m venv "$venv"
fi
say "Installing Tarecell and its test packages into $venv"
"$venv/bin/python" -m pip install -q -e '.[test]'

# --- LibreOffice Calc -------------------------------------------------------------------------------------------------

calc_problem() {  # says what is missing, or nothing
    "$venv/bin/python" - <<'PYTHON'
from tarecell.hosts.libreoffice import OfficeProblem, find_office
from tarecell.hosts.libreoffice.type_library import compiler
try:
    find_office().python()
    print("" if compiler() else "no unoidl-write (LibreOffice's developer kit)")
except OfficeProblem as problem:
    print(problem)
PYTHON
}
candidate() {  # the version of a package that apt would install, without its epoch
    apt-cache policy "$1" | sed -n 's/^ *Candidate: *\([0-9]*:\)\{0,1\}//p'
}
new_enough() { [ -n "$1" ] && [ "$1" != "(none)" ] && dpkg --compare-versions "$1" ge "$oldest_calc"; }

mirror() {  # the address that this machine itself gets its packages from
    sed -n 's/^URIs: *\([^ ]*\).*/\1/p' /etc/apt/sources.list.d/*.sources 2>/dev/null | grep -v security | grep debian && return
    sed -n 's/^deb  *\(\[[^]]*] *\)\{0,1\}\([^ ]*\) .*/\2/p' /etc/apt/sources.list /etc/apt/sources.list.d/*.list 2>/dev/null |
        grep -v security | grep debian
}
install_calc() {
    local calc=libreoffice-calc-nogui release=()
    # The packages with and without windows exclude each other: keep to the kind that is there.
    if dpkg-query -W -f '${Status}' libreoffice-core 2>/dev/null | grep -q ' installed'; then calc=libreoffice-calc; fi
    apt_update
    if ! new_enough "$(candidate $calc)" && grep -qs '^VERSION_CODENAME=bookworm' /etc/os-release; then
        if ! apt-cache policy | grep -q bookworm-backports; then
            say "Adding bookworm-backports, where Debian 12 has LibreOffice $oldest_calc"
            echo "deb $(mirror | head -n 1) bookworm-backports main" |
                as_root tee /etc/apt/sources.list.d/tarecell-backports.list >/dev/null
            lists_are_new=
            apt_update
        fi
        release=(-t bookworm-backports)
    elif ! new_enough "$(candidate $calc)"; then
        loud "this system has no LibreOffice $oldest_calc or newer to install"
        return
    fi
    say "This takes a minute or two"
    apt_install ${release[@]+"${release[@]}"} $calc python3-uno libreoffice-dev || loud "LibreOffice could not be installed"
}

problem=$(calc_problem)
if [ -n "$problem" ]; then
    say "LibreOffice Calc: $problem"
    if may_install; then install_calc; problem=$(calc_problem); fi
fi
if [ -n "$problem" ]; then loud "NOT TESTED: LibreOffice Calc — $problem"; fi
german=libreoffice-l10n-de  # one test works in a German Calc; the package must be of the same version
if [ -z "$problem" ] && ! dpkg-query -W -f '${Status}' $german 2>/dev/null | grep -q ' installed'; then
    calc_version=$(dpkg-query -W -f '${Version}' libreoffice-common 2>/dev/null) || true
    if ! { [ -n "$calc_version" ] && may_install && apt_install "$german=$calc_version"; }; then
        loud "NOT TESTED: Calc with a German interface — no $german ${calc_version:-}"
    fi
fi

# --- Smaller programs -------------------------------------------------------------------------------------------------

needs() {  # a program, its package, and what is not tested without it
    command -v "$1" >/dev/null || { may_install && apt_install "$2"; } || loud "NOT TESTED: $3 — no $1 (package $2)"
}
needs pdftoppm poppler-utils "pictures of the workbooks"
needs ssconvert gnumeric "plain copies in Gnumeric"
for shell in zsh fish; do needs $shell $shell "completion in $shell"; done

# --- Pyodide, which runs in Node ---------------------------------------------------------------------------------------

node_missing() {
    for name in node npm; do command -v "$name" >/dev/null || { echo "no $name"; return; }; done
    [ "$(node --version | sed 's/^v\([0-9]*\).*/\1/')" -ge 18 ] || echo "Node.js is older than 18"
}
if [ -n "$(node_missing)" ] && may_install; then apt_install nodejs npm || loud "Node.js could not be installed"; fi
if [ -n "$(node_missing)" ]; then loud "NOT TESTED: Pyodide — $(node_missing)"; fi

# --- The tests --------------------------------------------------------------------------------------------------------

say "Running the tests"
status=0
"$venv/bin/python" -m pytest -n 2 --dist loadgroup "$@" || status=$?
exit $status
