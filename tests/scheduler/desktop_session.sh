# Run by the desktop test inside a session bus of its own. $1: python, $2: folder for what is seen,
# $3: the way. Tries it with the daemon running, and again when that was killed without a word.
set -u
dbus-monitor --session "interface='org.freedesktop.Notifications',member='Notify'" \
    > "$2/seen.txt" 2> "$2/monitor.txt" &
monitor=$!
dunst > "$2/daemon.txt" 2>&1 &
daemon=$!
tries=0
until [ -s "$2/seen.txt" ] && dbus-send --session --print-reply --dest=org.freedesktop.Notifications \
    /org/freedesktop/Notifications \
    org.freedesktop.Notifications.GetServerInformation > /dev/null 2>&1; do
    tries=$((tries + 1))
    [ "$tries" -lt 100 ] || break
    sleep 0.1
done
"$1" -m tests.scheduler.desktop_call "$3"
kill -9 "$daemon"
wait "$daemon" 2> /dev/null
"$1" -m tests.scheduler.desktop_call "$3"
result=$?
kill "$monitor"
wait "$monitor"
exit "$result"
