#!/usr/bin/env python3
"""One process a session: the program as a service that D-Bus wakes, and a second start that hands over.

A TAP program: activation.py PROGRAM PLAN, under a display and a session bus."""
import os
import shutil
import subprocess
import sys
import tempfile
import time

PROGRAM, PLAN = sys.argv[1], sys.argv[2]
ID, PATH = 'io.github.downlead.Downlead', '/io/github/downlead/Downlead'
PATIENCE_S = 20


def call(method, *arguments):
    return subprocess.run(['gdbus', 'call', '--session', '--dest', ID, '--object-path', PATH, '--method', method,
                           *arguments], capture_output=True, text=True)


def wait(condition):
    end = time.monotonic() + PATIENCE_S
    while time.monotonic() < end:
        if condition():
            return True
        time.sleep(0.05)
    return False


def windows():
    """Paths of the windows that the process has on the bus."""
    done = subprocess.run(['gdbus', 'introspect', '--session', '--dest', ID, '--object-path', PATH + '/window',
                           '--recurse', '--only-properties'], capture_output=True, text=True)
    return done.stdout.count(PATH + '/window/')


def main():
    home = tempfile.mkdtemp(prefix='downlead-home-')
    environment = {**os.environ, 'HOME': home, 'XDG_DATA_HOME': home + '/data', 'XDG_STATE_HOME': home + '/state',
                   'XDG_CONFIG_HOME': home + '/config', 'GSETTINGS_BACKEND': 'memory'}
    service = subprocess.Popen([PROGRAM, '--gapplication-service'], env=environment)
    results = []
    try:
        named = wait(lambda: call('org.freedesktop.DBus.Peer.Ping').returncode == 0)
        results.append((named, 'a service has its name and waits'))
        results.append((windows() == 0, 'it shows nothing by itself'))
        call('org.freedesktop.Application.Activate', '{}')
        results.append((wait(lambda: windows() == 1), 'activated, it shows a window'))
        second = subprocess.run([PROGRAM, PLAN], env=environment, timeout=PATIENCE_S)
        results.append((second.returncode == 0, 'a second start hands its file over and ends'))
        call('org.freedesktop.Application.ActivateAction', 'new', '[]', '{}')
        results.append((wait(lambda: windows() == 2), 'the window of the first start took the plan; a new one is another'))
        call('org.freedesktop.Application.ActivateAction', 'quit', '[]', '{}')
        try:
            code = service.wait(PATIENCE_S)
        except subprocess.TimeoutExpired:
            code = None
        results.append((code == 0, 'it quits when asked'))
    finally:
        if service.poll() is None:
            service.kill()
        shutil.rmtree(home, ignore_errors=True)
    print(f'1..{len(results)}')
    for number, (good, name) in enumerate(results, 1):
        print(f'{"ok" if good else "not ok"} {number} {name}')
    return 0 if all(good for good, _ in results) else 1


sys.exit(main())
