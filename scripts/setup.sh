# Shared by ./start and ./test: what is missing is installed, then things are built. Sourced, never run.

say() { printf '\033[1m== %s\033[0m\n' "$*"; }

as_root() { if [ "$(id -u)" = 0 ]; then "$@"; else sudo "$@"; fi; }

# True when a package's job is already done by something that did not come as that package (another Node.js, say).
have_already() {
  case "$1" in
    nodejs) command -v node >/dev/null && [ "$(node -p 'process.versions.node.split(".")[0]')" -ge 18 ] ;;
    npm) command -v npm >/dev/null ;;
    *) return 1 ;;
  esac
}

# install_packages FILE...: every Debian package named there that is not installed; stops naming what cannot be had.
install_packages() {
  local wanted missing=() name
  wanted=$(cat "$@" | sed 's/#.*//' | tr -s ' \t\n' '\n' | sed '/^$/d' | sort -u)
  local installed
  installed=$(dpkg-query -W -f '${Package} ${db:Status-Status}\n' 2>/dev/null | awk '$2 == "installed" {print $1}' | sort -u)
  for name in $wanted; do
    grep -qx -- "$name" <<<"$installed" || have_already "$name" || missing+=("$name")
  done
  [ ${#missing[@]} -eq 0 ] && return 0
  say "installing Debian packages: ${missing[*]}"
  as_root apt-get update -qq || { echo "apt-get update failed: is a Debian mirror reachable?" >&2; exit 1; }
  for name in "${missing[@]}"; do
    apt-cache show "$name" >/dev/null 2>&1 || { echo "The Debian package '$name' cannot be had here; Handrail needs it." >&2; exit 1; }
  done
  as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "${missing[@]}" >/dev/null ||
    { echo "Installing failed: ${missing[*]}" >&2; exit 1; }
}

# The console's files, built once for each state of web/ (its lock file and sources).
build_console() {
  [ -e web/package.json ] || return 0
  local state
  state=$(git ls-files -s web 2>/dev/null; git diff HEAD -- web 2>/dev/null; git ls-files -o --exclude-standard web 2>/dev/null)
  state=$(printf '%s' "$state" | sha256sum | cut -d' ' -f1)
  if [ -e web/dist/index.html ] && [ "$(cat web/dist/.state 2>/dev/null)" = "$state" ]; then return 0; fi
  say "building the console (npm)"
  npm --prefix web ci --no-audit --no-fund --loglevel=error || { echo "npm could not install what web/package-lock.json names." >&2; exit 1; }
  npm --prefix web run --silent build
  printf '%s' "$state" > web/dist/.state
}

# build_program PRESET TARGET
build_program() {
  local preset=$1 target=$2
  # Anew when the console was built since: its files are embedded.
  if [ ! -e "build/$preset/build.ninja" ] || [ web/dist/.state -nt "build/$preset/build.ninja" ]; then
    say "configuring ($preset)"
    cmake --preset "$preset" >/dev/null
  fi
  say "building ($preset: $target)"
  cmake --build --preset "$preset" --target "$target" -j "$(nproc)" -- --quiet
}

# Units, timelines and the planner once more under the address and undefined-behaviour sanitizers.
run_sanitized_tests() {
  say "sanitized tests (address, undefined behaviour)"
  build_program asan sanitized
  local program
  for program in build/asan/tests/*/*_test; do "$program" --gtest_brief=1; done
}

# clang-tidy over the folders whose mistakes cost most. Not over those that use std::views, which Debian 12's clang-tidy
# (14) cannot read in its g++'s headers, nor those that include the JSON or server libraries, minutes a file.
run_lint() {
  say "lint (clang-tidy, .clang-tidy says what it looks for)"
  git ls-files 'src/units/*.cpp' 'src/plan/*.cpp' 'src/lifesupport/*.cpp' 'src/store/*.cpp' |
    xargs -P "$(nproc)" -n 4 clang-tidy --quiet -p build/release
}

run_console_tests() {
  [ -e web/package.json ] || return 0
  # A console that was built before is not built again, and then nothing has installed what its tests need.
  if [ web/package-lock.json -nt web/node_modules/.package-lock.json ]; then
    npm --prefix web ci --no-audit --no-fund --loglevel=error || { echo "npm could not install what web/package-lock.json names." >&2; exit 1; }
  fi
  say "console tests"
  npm --prefix web run --silent test
  say "browser tests"
  npm --prefix web run --silent test:browser
}
