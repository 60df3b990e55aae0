#!/usr/bin/env bash
# Installs the class's hub on this machine, or brings it up to date: `sudo ./install.sh [NAME]`, with your account.
# For Debian 13, Ubuntu 25.04 and later, and Debian 12 with Node.js 20; HUB.md tells what it does, and how to go back. It may be run again
# at any time: accounts, homes, what was handed in and your configuration stay.
set -euo pipefail
cd "$(dirname "$(readlink -f "$0")")"
ETC=/etc/quayside STATE=/var/lib/quayside OPT=/opt/quayside SRV=/srv/quayside

say() { printf '%s\n' "$*"; }
stop() { say "$1" >&2; say "  Try: $2" >&2; exit 1; }
usage="sudo ./install.sh [NAME], where NAME is your own account on this machine (id -un says it), which may then read the desk"
trap 'say "Stopped. Run it again: it goes on where it was." >&2; exit 130' INT

case ${1:-} in
  -h | --help) say "$usage"; exit 0 ;;
  -*) stop "There is no option $1." "$usage" ;;
esac
[ $# -le 1 ] || stop "One name at most is meant here, and these are $#." "$usage"
TEACHER=${1:-${SUDO_USER:-}}
[ "$(id -u)" -eq 0 ] || stop "This needs the rights of root." "sudo ./install.sh"
[ -n "$TEACHER" ] || stop "Whose account on this machine is the teacher's?" "$usage"
getent passwd -- "$TEACHER" >/dev/null || stop "This machine has no account '$TEACHER'." "$usage"
for file in codes.csv quayside.zip jupyterhub_config.py quayside-hub.service proxy/package-lock.json; do
  [ -f "$file" ] || stop "$file is missing here." "python3 checks hub FOLDER"
done

say "1 of 6: programs of the system"
wanted=()
python3 -c 'import ensurepip, venv' 2>/dev/null || wanted+=(python3 python3-venv)
command -v node >/dev/null || wanted+=(nodejs)
command -v npm >/dev/null || wanted+=(npm)
[ "${#wanted[@]}" -eq 0 ] || { apt-get -q update && apt-get -q install -y --no-install-recommends "${wanted[@]}"; }
python3 -c 'import sys; sys.exit(sys.version_info < (3, 11))' ||
  stop "Python 3.11 or later is needed; here is $(python3 --version)." "a newer Debian or Ubuntu"
# The kit's environment is made from this Python, and every seat runs it.
setpriv --reuid=65534 --regid=65534 --clear-groups python3 -c '' 2>/dev/null ||
  stop "$(command -v python3) cannot be used by other accounts: no seat would start." \
    "PATH=/usr/sbin:/usr/bin:/sbin:/bin ./install.sh $TEACHER, which takes the system's own Python"
[ "$(node -p 'parseInt(process.versions.node)')" -ge 20 ] ||
  stop "Node.js 20 or later is needed; here is $(node --version)." \
    "a newer Node.js from its own makers (Debian 12 needs no more than that), or a newer Debian or Ubuntu"

say "2 of 6: folders and accounts"
getent group quayside-desk >/dev/null || groupadd --system quayside-desk
id quayside-desk >/dev/null 2>&1 ||
  useradd --system --gid quayside-desk --home-dir /nonexistent --shell /usr/sbin/nologin quayside-desk
usermod --append --groups quayside-desk "$TEACHER"
install -d -m 755 "$OPT" "$SRV"
install -d -m 711 "$SRV/homes"  # whose names stand there is nobody's business
install -d -m 700 "$ETC" "$STATE"
install -d -m 2750 -o quayside-desk -g quayside-desk "$SRV/desk" "$SRV/desk/inbound"
install -d -m 2750 -o "$TEACHER" -g quayside-desk "$SRV/desk/feedback"
# A name reaches useradd only if it is one of ours: small letters, digits, dots, dashes.
python3 - <<'NAMES' | while read -r user; do
import csv, re
for row in csv.DictReader(open("codes.csv", encoding="utf-8")):
    if re.fullmatch(r"[a-z0-9][a-z0-9._-]{0,26}", row["user"]):
        print(row["user"])
NAMES
  id "seat-$user" >/dev/null 2>&1 ||
    useradd --badname --user-group --create-home --home-dir "$SRV/homes/$user" --key UMASK=077 \
      --skel /nonexistent --shell /usr/sbin/nologin "seat-$user" 2>/dev/null ||
    stop "The account seat-$user could not be made." "useradd seat-$user"
  chmod 700 "$SRV/homes/$user"
done

say "3 of 6: the kit, without solutions, for all to read and nobody to change"
mark=$(sha256sum quayside.zip | cut -c 1-12)
kit="$OPT/kit-$mark"
if [ ! -f "$kit/.complete" ]; then
  rm -rf "$kit" "$kit.part"
  python3 -m zipfile -e quayside.zip "$kit.part"
  mv "$kit.part/quayside" "$kit" && rmdir "$kit.part"
  (cd "$kit" && umask 022 && python3 -P -c '
import runpy, shutil, sys
made = runpy.run_path("checks/environment.py")
try:
    made["Environment"](__import__("pathlib").Path.cwd()).ensure(
        ["hub", *(["compile"] if shutil.which("cc") else [])], strict=True)
except made["SetupError"] as trouble:
    sys.exit(str(trouble))
except KeyboardInterrupt:
    sys.exit(130)')
  # Quicker trials, where there is a C compiler; nothing needs it.
  if command -v cc >/dev/null && ! (cd "$kit" && umask 022 && python3 -P lessons --compile); then
    say "   The simulator's core was not compiled: trials run from the sources, only slower."
  fi
  "$kit/.venv/bin/python" -m compileall -q "$kit/checks" "$kit/robotsim" || true
  chmod -R u+rwX,go+rX,go-w "$kit"
  touch "$kit/.complete"
fi
ln -sfn "$kit" "$OPT/kit"
for old in "$OPT"/kit-*; do
  [ "$old" = "$kit" ] || say "   $old is of an earlier kit; delete it when no seat has been open since before"
done

say "4 of 6: the proxy"
if ! cmp -s proxy/package-lock.json "$OPT/proxy/package-lock.json" || [ ! -d "$OPT/proxy/node_modules" ]; then
  # Whole or not at all: what was broken off must not look like what is done.
  rm -rf "$OPT/proxy.part"
  install -d -m 755 "$OPT/proxy.part"
  install -m 644 proxy/package.json proxy/package-lock.json "$OPT/proxy.part"
  (cd "$OPT/proxy.part" && umask 022 && npm ci --ignore-scripts --no-audit --no-fund)
  rm -rf "$OPT/proxy"
  mv "$OPT/proxy.part" "$OPT/proxy"
fi

say "5 of 6: the configuration"
install -m 600 codes.csv "$ETC/codes.csv"
given="$ETC/jupyterhub_config.given.py"  # the kit's own, as it was then: who has edited nothing gets the newer one
if [ -f "$ETC/jupyterhub_config.py" ] && ! cmp -s jupyterhub_config.py "$ETC/jupyterhub_config.py" &&
    ! cmp -s "$given" "$ETC/jupyterhub_config.py"; then
  install -m 600 jupyterhub_config.py "$ETC/jupyterhub_config.new.py"
  say "   Yours is another than this kit's: it stays, and the kit's is jupyterhub_config.new.py beside it."
else
  install -m 600 jupyterhub_config.py "$ETC/jupyterhub_config.py"
  [ ! -f jupyterhub_config.given.py ] || install -m 600 jupyterhub_config.given.py "$given"
fi

say "6 of 6: the hub"
if [ -d /run/systemd/system ]; then
  install -m 644 quayside-hub.service /etc/systemd/system/quayside-hub.service
  systemctl daemon-reload
  systemctl enable quayside-hub
  systemctl restart quayside-hub
  say "It runs. What it says: journalctl -u quayside-hub"
else
  say "This machine has no systemd. If a hub runs, end it first: kill -TERM, and wait until it has gone."
  say "Then start it by hand, as root, in $STATE:"
  say "  $OPT/kit/.venv/bin/python -P -m jupyterhub -f $ETC/jupyterhub_config.py"
fi
say "Work that is handed in: python3 checks collect COURSE $SRV/desk"
say "Feedback:               python3 checks feedback COURSE --to $SRV/desk"
