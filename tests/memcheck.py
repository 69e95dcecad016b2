#!/usr/bin/env python3
"""Memory under valgrind: tests of the core, the words and the drawings, and every command of
downlead-cli on the example plan. Not one error, not one block that nothing points at any more.

A TAP program, and at its end the usual count. Arguments: the top of the source tree, a build folder.
What GLib and the libraries keep for good stands in GLib's own suppressions and in memcheck.supp.
Left out are tests that would take minutes here and walk the same code as others, below."""
import concurrent.futures
import json
import os
import pathlib
import re
import subprocess
import sys
import tempfile

TOP, BUILD = (pathlib.Path(word).resolve() for word in sys.argv[1:3])
DEMO = TOP / 'data' / 'demo' / 'thistledown.downlead'
DATA = TOP / 'tests' / 'data'
CORPUS = TOP / 'tests' / 'fuzz' / 'corpus'
# Searches and thousands of random plans; full tiles; nec2c; what counts processor time or memory.
SLOW = {'antenna-decks', 'plan-faults', 'plan-import-large', 'study-advice', 'study-advice-ladder',
        'study-advice-stands', 'study-learn', 'study-properties', 'study-too-much', 'terrain-geotiff',
        'terrain-hgt', 'terrain-reference'}
VALGRIND = ['valgrind', '--quiet', '--leak-check=full', '--show-leak-kinds=definite',
            '--errors-for-leak-kinds=definite', '--error-exitcode=99', '--num-callers=20',
            '--suppressions=/usr/share/glib-2.0/valgrind/glib.supp', f'--suppressions={TOP}/tests/memcheck.supp']
ENVIRONMENT = dict(os.environ, G_SLICE='always-malloc', G_DEBUG='gc-friendly', LC_ALL='C.UTF-8',
                   G_TEST_SRCDIR=str(TOP / 'tests'), G_TEST_BUILDDIR=str(BUILD / 'tests'))


def write_ground(folder):
    """One tile of even ground, 256 m high."""
    folder.mkdir()
    (folder / 'N44W072.hgt').write_bytes(b'\x01\x00' * 1201 * 1201)
    return folder


def commands(work):
    """Each command at least once; a command that is not here fails the last case."""
    ground, stations, plan = write_ground(work / 'ground'), work / 'stations.xml', work / 'new.downlead'
    house = '44.28,-71.69'
    return [
        ['bearing', '--from', '40.6,-73.8', '--to', '51.6,-0.5', '--date', '2026-05-14'],
        ['declination', '--at', house, '--year', '2026.0'],
        ['sun', '--at', house, '--date', '2026-05-14', '--bearing', '194'],
        ['channel', '--system', 'atsc1', '--rf', '20'],
        ['curve', '--mhz', '600', '--haat', '300', '--km', '50', '--time', '50'],
        ['path', '--profile', DATA / 'vectors' / 'profile-blocked.csv', '--model', 'itm', '--mhz', '195',
         '--tx-m', '300', '--rx-m', '10', '--polarisation', 'h'],
        ['profile', '--from', house, '--to', '44.6,-71.3', '--terrain', ground],
        ['skyline', '--at', house, '--height', '10', '--terrain', ground],
        ['pattern', '--antenna', 'lpda-all', '--mhz', '600'],
        ['import', '--format', 'licence-text', CORPUS / 'licence-text' / 'several', '--near', house,
         '--within', '20000', '-o', stations],
        ['new-plan', '--at', house, '--stations', stations, '--antenna', 'lpda-all', '--terrain', ground,
         '-o', plan],
        ['chain', DEMO, '--mhz', '533'],
        ['budget', DEMO],
        ['advise', DEMO, '--antennas', 'lpda-all,yagi-uhf-20'],
        ['explain', DEMO, '--station', 'vennacott'],
        ['check', DEMO],
        ['learn', DEMO],
        ['readings', 'import', DEMO, CORPUS / 'readings-csv' / 'plain', '-o', work / 'read.downlead'],
        ['symptoms', DEMO, '--yes', 'seen-rain'],
        ['scan', DEMO],
        ['draw', DEMO, '--what', 'rose', '-o', work / 'rose.svg'],
        ['draw', DEMO, '--what', 'gear', '-o', work / 'gear.png'],
        ['sheet', DEMO, '-o', work / 'sheet.pdf', '--parts', work / 'parts.csv'],
        ['customer', DEMO, '--station', 'vennacott', '-o', work / 'customer.pdf'],
        ['budget', work / 'nowhere.downlead'],
    ]


def problems_of(words):
    """What valgrind has to say of one program; the program's own refusals are no matter."""
    done = subprocess.run([*VALGRIND, *map(str, words)], capture_output=True, text=True, errors='replace',
                          env=ENVIRONMENT, timeout=3000)
    told = [line for line in done.stderr.splitlines() if re.match(r'==\d+==', line)]
    if done.returncode == 99 or told:
        return told or ['errors were found']
    return [] if done.returncode in (0, 1) else [f'status {done.returncode}: {done.stderr[-400:]}']


def test_programs():
    for test in json.loads((BUILD / 'meson-info' / 'intro-tests.json').read_text()):
        program = pathlib.Path(test['cmd'][0])
        if program.parent.parent == BUILD / 'tests' and program.parent.name in ('core', 'words', 'draw'):
            if test['name'] not in SLOW:
                yield test['name'], [program]


def forgotten(cli, known):
    """Commands of the help that no line here calls."""
    text = subprocess.run([cli, '--help'], capture_output=True, text=True, env=ENVIRONMENT, check=True).stdout
    return [name for name in re.findall(r'^  ([a-z-]+) ', text, re.MULTILINE) if name not in known]


def main():
    cli, passed, failed = BUILD / 'src' / 'cli' / 'downlead-cli', 0, 0

    def case(name, problems):
        nonlocal passed, failed
        passed, failed = passed + (not problems), failed + bool(problems)
        print(f'{"not ok" if problems else "ok"} {passed + failed} - {name}')
        for problem in problems[:60]:
            print(f'# {problem}')
        sys.stdout.flush()

    with tempfile.TemporaryDirectory(prefix='downlead-memcheck-') as work:
        lines = commands(pathlib.Path(work))
        with concurrent.futures.ThreadPoolExecutor(os.cpu_count()) as pool:
            programs = list(test_programs())
            tests = pool.map(lambda program: problems_of(program[1]), programs)
            # One after the other: some read what those before wrote.
            for words in lines:
                case('downlead-cli ' + ' '.join(str(word) for word in words[:2]), problems_of([cli, *words]))
            for (name, _), problems in zip(programs, tests):
                case(name, problems)
    case('every command was called', forgotten(cli, {str(words[0]) for words in lines}))
    print(f'{passed} passed, {failed} failed')
    sys.exit(1 if failed or not passed else 0)


if __name__ == '__main__':
    main()
