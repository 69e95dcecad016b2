#!/usr/bin/env python3
"""Line coverage, room by room, of a build folder made with -Db_coverage=true whose tests have run.

A line counts as run when any object that holds it ran it. Arguments: the top of the source tree,
the build folder, and optionally --lines ROOM, which lists the lines that nothing ran. Ends with
status 1 when a layer stands below its floor."""
import argparse
import collections
import concurrent.futures
import json
import os
import pathlib
import subprocess
import sys

# Percent of lines; a layer that is not named is reported only.
FLOORS = {'core': 95, 'draw': 90, 'cli': 90}
LAYERS = ['core', 'words', 'draw', 'cli', 'app']


def gcov(notes):
    """What gcov knows about one object. Where nothing ran it, its lines count with zero."""
    data = notes.with_suffix('.gcda')
    done = subprocess.run(['gcov', '--json-format', '--stdout', str(data if data.exists() else notes)],
                          capture_output=True, cwd=notes.parent)
    if done.returncode != 0 or not done.stdout.strip():
        sys.exit(f'{notes}: gcov reads no lines here: {done.stderr.decode(errors="replace").strip()[:200]}')
    for line in done.stdout.splitlines():
        if line.strip():
            yield json.loads(line)


def runs(top, build):
    """{source path: {line: how often it ran}} for our own sources."""
    counts = collections.defaultdict(lambda: collections.defaultdict(int))
    notes = sorted((build / 'src').rglob('*.gcno'))
    with concurrent.futures.ThreadPoolExecutor(os.cpu_count()) as pool:
        for reports in pool.map(lambda path: list(gcov(path)), notes):
            for report in reports:
                folder = pathlib.Path(report['current_working_directory'])
                for entry in report['files']:
                    path = pathlib.Path(os.path.normpath(build / entry['file']))
                    if not path.exists():
                        path = pathlib.Path(os.path.normpath(folder / entry['file']))
                    if top / 'src' in path.parents:
                        for line in entry['lines']:
                            counts[path.relative_to(top / 'src')][line['line_number']] += line['count']
    return counts


def room_of(path):
    return '/'.join(path.parts[:2]) if path.parts[0] == 'core' else path.parts[0]


def percent(pair):
    return 100 * pair[0] / pair[1]


def tally(counts, key):
    """{key(path): [lines run, lines]}"""
    sums = collections.defaultdict(lambda: [0, 0])
    for path, lines in counts.items():
        sums[key(path)][0] += sum(count > 0 for count in lines.values())
        sums[key(path)][1] += len(lines)
    return sums


def list_lines(top, counts, room):
    for path in sorted(counts):
        if room_of(path).startswith(room):
            text = (top / 'src' / path).read_text().splitlines()
            for number in sorted(n for n, count in counts[path].items() if count == 0):
                print(f'src/{path}:{number}: {text[number - 1].strip()}')


def report(counts):
    """Prints the rooms and layers; the layers below their floors."""
    rooms, layers = tally(counts, room_of), tally(counts, lambda path: path.parts[0])
    low = []
    for layer in LAYERS:
        for room in sorted(rooms):
            if room.startswith(layer + '/'):
                print(f'{room:16} {percent(rooms[room]):6.2f} % of {rooms[room][1]} lines')
        floor = FLOORS.get(layer)
        if layer not in layers:
            if floor:
                print(f'{layer:16} no lines at all')
                low.append(layer)
        else:
            needs = f', above {floor} % is needed' if floor else ''
            print(f'{layer:16} {percent(layers[layer]):6.2f} % of {layers[layer][1]} lines{needs}')
            if floor and percent(layers[layer]) <= floor:
                low.append(layer)
    return low


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument('top', type=pathlib.Path)
    parser.add_argument('build', type=pathlib.Path)
    parser.add_argument('--lines', metavar='ROOM')
    options = parser.parse_args()
    top, build = options.top.resolve(), options.build.resolve()
    counts = runs(top, build)
    if not counts:
        sys.exit(f'{build}: no counts; it needs meson setup -Db_coverage=true and a run of the tests')
    if options.lines:
        list_lines(top, counts, options.lines)
        return
    low = report(counts)
    if low:
        sys.exit('below the floor: ' + ', '.join(low))


if __name__ == '__main__':
    main()
