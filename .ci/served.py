"""An installed app answers on this machine, on the loopback address alone, and sends nothing home."""

import pathlib
import sys
import time
import urllib.request

port = int(sys.argv[1])
for _ in range(120):
    try:
        with urllib.request.urlopen(f"http://127.0.0.1:{port}/_stcore/health", timeout=1) as answer:
            assert answer.status == 200
            break
    except OSError:
        time.sleep(0.25)
else:
    sys.exit("the served app did not answer")
with urllib.request.urlopen(f"http://127.0.0.1:{port}/_stcore/host-config", timeout=5) as answer:
    assert answer.status == 200
listening = set()
for table in ("/proc/net/tcp", "/proc/net/tcp6"):
    for line in pathlib.Path(table).read_text().splitlines()[1:]:
        place, state = line.split()[1], line.split()[3]
        if state == "0A" and int(place.rpartition(":")[2], 16) == port:
            listening.add(place.rpartition(":")[0])
assert listening == {"0100007F"}, f"it listens on {listening}"
print("served on 127.0.0.1 alone")
