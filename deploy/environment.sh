# shellcheck shell=bash
# Sourced by deploy/demo, deploy/many, tests/run, tests/bench/run, tests/mutants/run and .ci/run:
# finds a Python, keeps one environment folder a purpose. Progress goes to stderr, clean for pipes.

root=$(CDPATH='' cd -- "$(dirname -- "${BASH_SOURCE[0]}")/.." && pwd -P)

say() {
  printf '%s\n' "$*" >&2
}

stop_with() {
  say "$*"
  exit 1
}

# quietly COMMAND...: shows the end of what the command wrote, and only if it fails.
quietly() {
  local log status=0
  log=$(mktemp)
  "$@" >"$log" 2>&1 || status=$?
  if ((status != 0)); then
    tail -n 40 -- "$log" >&2
  fi
  rm -f -- "$log"
  return "$status"
}

is_new_enough() {
  "$1" -c 'import sys; sys.exit(sys.version_info < (3, 11))' >/dev/null 2>&1
}

# find_python: prints the path of the first Python that will do.
find_python() {
  local name found=''
  for name in python3 python3.14 python3.13 python3.12 python3.11 python; do
    if is_new_enough "$name"; then
      command -v "$name"
      return
    fi
    if command -v "$name" >/dev/null; then
      found="$found $name ($("$name" --version 2>&1 || true));"
    fi
  done
  say "Furrowbell needs Python 3.11 or newer, and none was found." \
    "Install it and run this again.${found:+ Too old or not working:$found}"
  return 1
}

# can_install: whether packages of the system may be installed here.
can_install() {
  ((EUID == 0)) && command -v apt-get >/dev/null
}

# install_with_apt PACKAGE: the list of packages is renewed first, once a run.
install_with_apt() {
  if [[ ${packages_listed-} != yes ]]; then
    quietly apt-get update || stop_with "apt-get update failed; see above."
    packages_listed=yes
  fi
  quietly env DEBIAN_FRONTEND=noninteractive apt-get install --yes "$1" ||
    stop_with "apt-get could not install $1; see above."
}

# make_venv_work PYTHON: Debian keeps the venv module's other half in a package of its own.
make_venv_work() {
  local python=$1 package
  if "$python" -c 'import ensurepip, venv' 2>/dev/null; then
    return
  fi
  package=$("$python" -c 'import sys; print("python%d.%d-venv" % sys.version_info[:2])')
  if ! can_install; then
    stop_with "This Python cannot make virtual environments: it lacks ensurepip." \
      "On Debian or Ubuntu an administrator mends that with: apt-get install $package"
  fi
  say "Installing $package with apt, because this Python cannot make virtual environments yet."
  install_with_apt "$package"
}

# find_browser: the tests of the pages look at them through Debian's chromium, or through the
# browser that CHROMIUM names; fails with a sentence where there is none.
find_browser() {
  if [[ -n ${CHROMIUM-} ]]; then
    if [[ -x $CHROMIUM ]]; then
      return
    fi
    say "CHROMIUM names $CHROMIUM, which cannot be run. Give the full path of a Chromium, or unset it."
    return 1
  fi
  if command -v chromium >/dev/null; then
    return
  fi
  if can_install; then
    say "Installing chromium with apt, because the tests of the pages look at them through it."
    install_with_apt chromium
    return
  fi
  say "The tests of the pages need a browser, and there is no chromium here." \
    "On Debian an administrator installs it with: apt-get install chromium" \
    "Or give the full path of another Chromium in CHROMIUM."
  return 1
}

# find_node: the independent peers of the gateways run on Node; fails with a sentence without it.
find_node() {
  local missing=()
  command -v node >/dev/null || missing+=(nodejs)
  command -v npm >/dev/null || missing+=(npm)
  if ((${#missing[@]} == 0)); then
    return
  fi
  if ! can_install; then
    stop_with "The gateways are tried against peers that need Node, and there is none here." \
      "On Debian an administrator installs it with: apt-get install nodejs npm"
  fi
  local package
  for package in "${missing[@]}"; do
    say "Installing $package with apt, because the peers of the gateways need it."
    install_with_apt "$package"
  done
}

# find_postgres: deploy/many and the tests of the records run PostgreSQL, a server of their own.
find_postgres() {
  if command -v initdb >/dev/null || compgen -G '/usr/lib/postgresql/*/bin/initdb' >/dev/null; then
    return
  fi
  if can_install; then
    say "Installing postgresql with apt, because this runs on a server of its own."
    install_with_apt postgresql
    return
  fi
  say "This needs PostgreSQL's programs (initdb, pg_ctl), and there are none here." \
    "On Debian an administrator installs them with: apt-get install postgresql"
  return 1
}

# prepare_peers: what those peers are built on, in .venv-node/ of this clone.
prepare_peers() {
  local folder=$root/.venv-node list=$root/tests/gateways/peers/package.json
  find_node
  if [[ -f $folder/stamp ]] && cmp --silent "$list" "$folder/stamp"; then
    return
  fi
  say "Installing into ${folder##*/}; this takes a moment."
  mkdir -p -- "$folder"
  rm -f -- "$folder/stamp"
  cp -- "$list" "$folder/package.json"
  (cd -- "$folder" && quietly npm install --no-audit --no-fund --no-package-lock) ||
    stop_with "The installation failed; see above. Mend the cause (often the network) and run this again."
  cp -- "$list" "$folder/stamp"
}

# prepare_environment FOLDER FINGERPRINT PIP_ARGUMENT...: sets `environment`; installs only if
# the fingerprint, or the clone's own place, is another than at the last success.
prepare_environment() {
  local python place='' mark='' fingerprint=$2
  environment=$root/$1
  shift 2
  if [[ -f $environment/stamp ]] && is_new_enough "$environment/bin/python"; then
    { IFS= read -r place && IFS= read -r mark; } <"$environment/stamp" || true
  fi
  if [[ $place == "$root" && $mark == "$fingerprint" ]]; then
    return
  fi
  # Scripts inside hold the folder's full path, and an installation that was cut short leaves no
  # stamp: in both cases the environment is made anew.
  if [[ $place != "$root" ]]; then
    python=$(find_python) || exit 1
    make_venv_work "$python"
    say "Making a virtual environment in ${environment##*/} with $("$python" --version)."
    quietly "$python" -m venv --clear "$environment" ||
      stop_with "The virtual environment could not be made; see above."
  fi
  rm -f -- "$environment/stamp"
  say "Installing into ${environment##*/}; the first time takes a few minutes."
  quietly "$environment/bin/python" -m pip install --quiet --disable-pip-version-check "$@" ||
    stop_with "The installation failed; see above. Mend the cause (often the network) and run this again."
  printf '%s\n' "$root" "$fingerprint" >"$environment/stamp"
}

# prepare_tests_environment: the clone itself, editable, with everything the checks use.
prepare_tests_environment() {
  prepare_environment .venv-tests "$(cksum <"$root/pyproject.toml")" --editable "${root}[dev]"
}

# sources_now: a fingerprint of every source file, for an environment that holds copies of them.
sources_now() {
  CDPATH='' cd -- "$root" &&
    find pyproject.toml README.md service gateway_adapters locales \
      -type f ! -name '*.pyc' -exec cksum {} + | LC_ALL=C sort | cksum
}

# prepare_demo_environment: the packages as a user would get them, so every source file counts.
prepare_demo_environment() {
  local sources
  sources=$(sources_now)
  prepare_environment .venv-demo "$sources" "$root"
}

# prepare_many_environment: the same with what it takes to talk to PostgreSQL.
prepare_many_environment() {
  local sources
  sources=$(sources_now)
  prepare_environment .venv-many "$sources" "${root}[postgres]"
}
