#!/usr/bin/env python3
"""Would the tests notice a wrong formula? Changes one sign, constant or comparison at a time.

A mutant is one change in one formula file of src/core: + for - or the other way round, a unary
minus dropped, a comparison turned to its contrary, a constant one up (whole, below 100) or a tenth
up. The file alone is compiled and preloaded before the library, and the tests of its room and of the
rooms above run until one fails; running too long is failing. The sample is fixed: sites are ranked
by a digest of file, line's text and change, so an edit elsewhere leaves them in it.

Verdicts are kept in BUILD/mutants.tsv, so a run can be broken off and taken up again. Mutants that
nobody could tell from the original stand in mutants-equivalent.tsv, each with the reason.
Arguments: the top of the source tree, a build folder. Status 1 below the floor."""
import argparse
import collections
import concurrent.futures
import csv
import hashlib
import json
import os
import pathlib
import re
import resource
import shlex
import subprocess
import sys
import tempfile
import threading
import time

FLOOR_PERCENT = 95
SEED = 'downlead 1'
ROOMS = ['data', 'geo', 'terrain', 'radio', 'antenna', 'chain', 'plan', 'study']
# Where formulas stand; what reads files and writes sentences has its own tests and fuzz targets.
FORMULA_FILES = {
    'geo': 'date datum geodesic magnetic profile sun',
    'radio': 'building channel clearance clutter curve-path curves itm itm-attenuation itm-terrain '
             'itm-variability knife-edge noise normal p1812 p1812-diffraction p1812-path p1812-tropo '
             'surface system woodland',
    'antenna': 'antenna pair pattern',
    'chain': 'cascade head overload power products',
    'study': 'aim budget budget-base budget-stages fields house levels mount place season',
}
COMPARISONS = {'<': '>=', '>=': '<', '>': '<=', '<=': '>', '==': '!=', '!=': '=='}
SIGNS = {'+': '-', '-': '+', '+=': '-=', '-=': '+='}
TOKEN = re.compile(r'''
    (?P<blank>/\*.*?\*/|//[^\n]*|"(?:\\.|[^"\\])*"|'(?:\\.|[^'\\])*'|^\s*\#\s*(?:include|if|pragma)[^\n]*)
  | (?P<name>[A-Za-z_]\w*)
  | (?P<number>(?:\d+\.\d*|\.\d+|\d+)(?:[eE][-+]?\d+)?[fFlLuU]*)
  | (?P<operator>->|\+\+|--|<<|>>|\+=|-=|<=|>=|==|!=|&&|\|\||[^\s\w])
''', re.VERBOSE | re.DOTALL | re.MULTILINE)
# What takes too long to be run for each mutant, or waits for another program.
SLOW_TESTS = {'antenna-decks', 'study-advice', 'study-advice-ladder', 'study-learn', 'terrain-geotiff',
              'terrain-hgt', 'terrain-terrain'}
# Lines that check a caller or name an error's domain, where a hyphen is no minus.
NO_FORMULA = re.compile(r'g_return|g_assert|_Static_assert|G_STATIC_ASSERT|G_DEFINE_')
# Room for more than is used is nothing that could be noticed, and too little is the sanitizers' matter.
ALLOCATES = re.compile(r'\bg_(?:new0?|renew|malloc0?|array_sized_new|ptr_array_sized_new) \(')
# What stands before a figure in the length of a declared array.
ARRAY_LENGTH = re.compile(r'\s*(?:static |const )*(?!return )\w+ (?:\*?\w+(?:\[[^]=]*\])*, )*'
                          r'\*?\w+(?:\[[^]=]*\])*\[[^]=]*$')
# Before the 1 of an index that says "none": callers ask whether it is negative.
NO_INDEX = re.compile(r'(?:return|[?:=]) -$')

CORE_ARCHIVE = 'src/core/libdownlead-core.a'

Mutant = collections.namedtuple('Mutant', 'room path line column old new text nth')


def other_number(word):
    digits = word.rstrip('fFlLuU')
    suffix = word[len(digits):]
    if re.fullmatch(r'\d+', digits):
        value = int(digits)
        return str(value + 1 if value < 100 else value + round(value / 10)) + suffix
    value = float(digits)
    return repr(value * 1.1 if value else 1.0) + suffix


def is_operand(token):
    """Whether a + or - after this token has two operands."""
    return token is not None and (token.lastgroup in ('name', 'number') and token[0] != 'return'
                                  or token[0] in (')', ']'))


def change_of(before, token, after, left, line):
    """What a token becomes in a mutant, None where it is left alone."""
    word = token[0]
    if NO_FORMULA.search(line) or ARRAY_LENGTH.match(left):
        return None
    if token.lastgroup == 'number':
        octal = word.startswith('0') and len(word) > 1 and '.' not in word
        none = word == '1' and NO_INDEX.search(left)
        return None if octal or none or ALLOCATES.search(line) else other_number(word)
    if token.lastgroup != 'operator':
        return None
    if word in COMPARISONS:
        return COMPARISONS[word]
    if word in ('+=', '-='):
        return SIGNS[word]
    if word in ('+', '-') and is_operand(before):
        return SIGNS[word]
    return '' if word == '-' and after is not None and after.lastgroup in ('name', 'number') else None


def mutants_of(top, room, name):
    path = pathlib.Path('src/core') / room / f'{name}.c'
    source = (top / path).read_text()
    lines = source.splitlines()
    tokens = [match for match in TOKEN.finditer(source) if match.lastgroup != 'blank']
    met = collections.Counter()
    for i, token in enumerate(tokens):
        number = source.count('\n', 0, token.start())
        line = lines[number]
        before, after = tokens[i - 1] if i else None, tokens[i + 1] if i + 1 < len(tokens) else None
        column = token.start() - source.rfind('\n', 0, token.start()) - 1
        new = change_of(before, token, after, line[:column], line)
        if new is not None:
            place = (line.strip(), column - len(line) + len(line.lstrip()))
            met[place] += 1
            yield Mutant(room, str(path), number + 1, place[1], token[0], new, place[0], met[place])


def key_of(mutant):
    """Says which mutant it is without its line's number, which edits above it shift."""
    column = str(mutant.column) if mutant.nth == 1 else f'{mutant.column} in line {mutant.nth} of its kind'
    return '\t'.join([mutant.path, mutant.text, column, mutant.old, mutant.new])


def ranked(top, seed):
    mutants = [m for room, names in FORMULA_FILES.items() for name in names.split()
               for m in mutants_of(top, room, name)]
    return sorted(mutants, key=lambda m: hashlib.sha256((seed + key_of(m)).encode()).digest())


class Bench:
    """Compiles mutants, runs tests with them; each thread in a folder of its own.

    The tests are linked anew to all of the core as one shared library, before which the loader takes a
    mutant's functions: so a mutant costs one small link and not one for every test."""

    def __init__(self, top, build):
        self.top, self.build = top, build
        self.own, self.originals = threading.local(), {}
        introspected = json.loads(subprocess.check_output(['meson', 'introspect', '--tests', str(build)]))
        self.tests = {test['name']: test for test in introspected
                      if '/tests/core/test-' in test['cmd'][0] and test['name'] not in SLOW_TESTS}
        programs = [os.path.relpath(test['cmd'][0], build) for test in self.tests.values()]
        subprocess.run(['ninja', '-C', str(build), *programs], check=True, stdout=subprocess.DEVNULL)
        self.compile = {os.path.relpath(os.path.join(entry['directory'], entry['file']), top):
                        shlex.split(entry['command'])
                        for entry in json.loads((build / 'compile_commands.json').read_text())}
        self.folder = tempfile.TemporaryDirectory(prefix='mutants-', dir=build)
        self.library = pathlib.Path(self.folder.name) / 'libcore.so'
        self.share('-Wl,--whole-archive', CORE_ARCHIVE, '-Wl,--no-whole-archive', to=self.library)
        self.programs = {name: self.link(name) for name in self.tests}
        self.seconds = {name: self.time_of(name) for name in self.tests}

    def out(self):
        if not hasattr(self.own, 'folder'):
            self.own.folder = tempfile.TemporaryDirectory(prefix='mutant-', dir=self.build)
        return pathlib.Path(self.own.folder.name)

    def share(self, *what, to):
        subprocess.run(['cc', '-shared', '-o', str(to), *what], check=True, cwd=self.build, capture_output=True)

    def link(self, name):
        """The test @name, which looks for the core in the shared library."""
        program = os.path.relpath(self.tests[name]['cmd'][0], self.build)
        commands = subprocess.check_output(['ninja', '-C', str(self.build), '-t', 'commands', '-s', program], text=True)
        words = [str(self.library) if word == CORE_ARCHIVE else word
                 for word in shlex.split(commands.strip().splitlines()[-1]) if word not in ('ccache', '-g')]
        words[words.index('-o') + 1] = str(pathlib.Path(self.folder.name) / name)
        subprocess.run(words, check=True, cwd=self.build, capture_output=True)
        return words[words.index('-o') + 1]

    def run(self, name, preload, cpu_seconds):
        test = self.tests[name]
        limited = ['sh', '-c', f'ulimit -c 0 -t {cpu_seconds}; export LD_PRELOAD="{preload}"; exec "$0" "$@"',
                   self.programs[name], *test['cmd'][1:]]
        try:
            done = subprocess.run(limited, env={**os.environ, **test['env']}, cwd=test['workdir'] or self.build,
                                  stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, timeout=40 * cpu_seconds)
        except subprocess.TimeoutExpired:
            return False
        return done.returncode == 0

    def time_of(self, name):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        if not self.run(name, '', 300):
            sys.exit(f'{name} fails without any mutant')
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime

    def object_of(self, path, source):
        """The bytes of the compiled @source, None when it is no C."""
        words = iter(self.compile[path])
        command = []
        for word in words:
            if word in ('-o', '-c', '-MQ', '-MF'):
                next(words)
            elif word not in ('ccache', '-g', '-MD', '-Werror'):
                command.append(word)
        done = subprocess.run(command + ['-w', '-O1', '-x', 'c', '-c', '-', '-o', self.out() / 'mutant.o'],
                              input=source, text=True, cwd=self.build, capture_output=True)
        return (self.out() / 'mutant.o').read_bytes() if done.returncode == 0 else None

    def tests_for(self, mutant):
        """Its mirror first, then the tests of its room and those above, the quick ones first."""
        stem = pathlib.Path(mutant.path).stem
        rooms = ROOMS[ROOMS.index(mutant.room):]

        def order(name):
            room, _, rest = name.partition('-')
            mirrored = room == mutant.room and (stem.startswith(rest) or rest.startswith(stem))
            return (not mirrored, room != mutant.room, self.seconds[name])

        return sorted((name for name in self.tests if name.partition('-')[0] in rooms), key=order)

    def verdict(self, mutant):
        """What became of it, and the test that noticed."""
        source = (self.top / mutant.path).read_text()
        original = self.originals.get(mutant.path) or self.object_of(mutant.path, source)
        self.originals[mutant.path] = original
        compiled = self.object_of(mutant.path, self.changed(source, mutant))
        if compiled is None:
            return 'no program', ''
        if compiled == original:
            return 'same program', ''
        self.share(str(self.out() / 'mutant.o'), to=self.out() / 'mutant.so')
        for name in self.tests_for(mutant):
            if not self.run(name, self.out() / 'mutant.so', 3 + int(5 * self.seconds[name])):
                return 'killed', name
        return 'survived', ''

    @staticmethod
    def changed(source, mutant):
        lines = source.splitlines(keepends=True)
        line = lines[mutant.line - 1]
        at = len(line) - len(line.lstrip()) + mutant.column
        lines[mutant.line - 1] = line[:at] + mutant.new + line[at + len(mutant.old):]
        return ''.join(lines)


def read_table(path):
    if not path.exists():
        return []
    with path.open(newline='') as file:
        return [row for row in csv.reader(file, delimiter='\t', quoting=csv.QUOTE_NONE) if row]


def keys_with_notes(path):
    """{key of a mutant: what stands in the columns after it}"""
    return {'\t'.join(row[:5]): row[5:] for row in read_table(path)}


def check_table(mutants, equivalent):
    """A line that was changed is to be judged anew."""
    stale = sorted(set(equivalent) - {key_of(m) for m in mutants})
    if stale:
        sys.exit('no mutants any more, in mutants-equivalent.tsv:\n' + '\n'.join(stale))


def report(verdicts, equivalent):
    counts = collections.Counter(verdict for _, verdict in verdicts)
    lives = [m for m, verdict in verdicts if verdict == 'survived']
    known = [m for m in lives if key_of(m) in equivalent]
    judged = counts['killed'] + len(lives) - len(known)
    for m in lives:
        if m not in known:
            print(f'{m.path}:{m.line}: survived with {m.new!r} for {m.old!r} at {m.column}: {m.text}')
    rate = 100 * counts['killed'] / judged if judged else 0
    print(f'{len(verdicts)} mutants: {counts["killed"]} killed, {judged - counts["killed"]} survived, '
          f'{len(known)} equivalent; {rate:.1f} % killed')
    return rate


def judge(bench, mutants, known, state, end):
    """Fills in @known, and writes each verdict down at once."""
    lock = threading.Lock()

    def one(mutant):
        if time.monotonic() > end:
            return
        verdict, killer = bench.verdict(mutant)
        with lock, state.open('a') as file:
            known[key_of(mutant)] = verdict
            file.write(f'{key_of(mutant)}\t{verdict}\t{killer}\n')

    with concurrent.futures.ThreadPoolExecutor(os.cpu_count()) as pool:
        list(pool.map(one, mutants))


def sample_of(mutants, known, size):
    """The first @size that are programs of their own; those without a verdict count as such."""
    own = [m for m in mutants if known.get(key_of(m)) not in ('no program', 'same program')]
    return own[:size]


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument('top', type=pathlib.Path)
    parser.add_argument('build', type=pathlib.Path)
    parser.add_argument('--sample', type=int, default=300)
    parser.add_argument('--seed', default=SEED, help='another one draws another sample')
    parser.add_argument('--seconds', type=float, default=float('inf'), help='break off after these')
    parser.add_argument('--again', action='store_true', help='judge survivors anew')
    options = parser.parse_args()
    top, build = options.top.resolve(), options.build.resolve()
    state, end = build / 'mutants.tsv', time.monotonic() + options.seconds
    known = {key: notes[0] for key, notes in keys_with_notes(state).items()
             if not (options.again and notes[0] == 'survived')}
    mutants, bench = ranked(top, options.seed), None
    equivalent = keys_with_notes(pathlib.Path(__file__).with_name('mutants-equivalent.tsv'))
    check_table(mutants, equivalent)
    known.update(dict.fromkeys(equivalent, 'survived'))
    while time.monotonic() < end:
        left = [m for m in sample_of(mutants, known, options.sample) if key_of(m) not in known]
        if not left:
            break
        bench = bench or Bench(top, build)
        judge(bench, left, known, state, end)
    verdicts = [(m, known[key_of(m)]) for m in sample_of(mutants, known, options.sample) if key_of(m) in known]
    rate = report(verdicts, equivalent)
    if len(verdicts) == options.sample and rate < FLOOR_PERCENT:
        sys.exit(f'below {FLOOR_PERCENT} %')


if __name__ == '__main__':
    main()
