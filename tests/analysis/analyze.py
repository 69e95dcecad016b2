#!/usr/bin/env python3
"""Static analysis of every file in src: gcc -fanalyzer, clang-tidy and cppcheck, as Debian 12 has them.

One TAP line a tool and file. A finding is mended in the source or explained in explained.tsv (tool,
check, file or pattern of files, a piece of the line it points at, reason): by the text of the line,
so that an edit elsewhere in the file does not move it. An explanation that explains nothing any more is itself a
failure. Comments that silence a tool are not heard.

A file is analysed again when it, a header of ours that it includes, or what a tool is told has
changed; what was found is kept in BUILD/analysis. Arguments: the top of the source tree, a build
folder whose generated headers are made, and optionally files. Status 1 on what is unexplained."""
import argparse
import collections
import concurrent.futures
import csv
import fnmatch
import hashlib
import json
import os
import pathlib
import re
import shlex
import subprocess
import sys

HERE = pathlib.Path(__file__).resolve().parent
Finding = collections.namedtuple('Finding', 'check path line message')
# Text lines of clang-tidy and of cppcheck by its template.
TIDY_LINE = re.compile(r'^(?P<path>[^\s:][^:]*):(?P<line>\d+):\d+: (?:warning|error): (?P<message>.*) '
                       r'\[(?P<check>[\w.,-]+)\]$')
CPPCHECK_LINE = re.compile(r'^(?P<path>[^\t]+)\t(?P<line>\d+)\t(?P<check>\w+)\t(?P<message>.*)$')
SILENCED = re.compile(r'NOLINT|cppcheck-suppress|pragma\s+GCC\s+diagnostic|pragma\s+clang\s+diagnostic')


def run(command, folder):
    return subprocess.run(command, capture_output=True, text=True, errors='replace', cwd=folder)


def parsed(pattern, text):
    for line in text.splitlines():
        match = pattern.match(line)
        if match:
            yield Finding(match['check'], match['path'], int(match['line']), match['message'])


class Gcc:
    """The analyser follows calls inside a file. It does so best in code that is not optimised."""
    name, options = 'gcc', ['-fanalyzer', '-O0', '-fdiagnostics-format=json', '-S', '-o', '/dev/null']

    def version(self):
        return run(['gcc', '--version'], '/').stdout.splitlines()[0]

    def findings(self, unit):
        done = run(['gcc', *unit.flags, *self.options, unit.file], unit.folder)
        if done.returncode != 0:
            yield Finding('failed', unit.file, 0, done.stderr.strip()[:400])
            return
        for entry in json.loads(done.stderr.strip().splitlines()[0] if done.stderr.strip() else '[]'):
            check = entry.get('option', '').removeprefix('-W')
            if check.startswith('analyzer'):
                at = entry['locations'][0]['caret']
                yield Finding(check, at['file'], at['line'], entry['message'])


class Tidy:
    """Its checks, and why some are off, stand in .clang-tidy at the top, where editors find them."""
    name = 'clang-tidy'

    def version(self):
        config = (HERE.parent.parent / '.clang-tidy').read_text()
        return run(['clang-tidy', '--version'], '/').stdout + config

    def findings(self, unit):
        done = run(['clang-tidy', '--quiet', unit.file, '--', *unit.flags], unit.folder)
        found = list(parsed(TIDY_LINE, done.stdout))
        if done.returncode != 0 and not found:
            yield Finding('failed', unit.file, 0, done.stderr.strip()[:400])
        yield from found


class Cppcheck:
    """Reads our headers only; gtk.cfg and our glib.cfg tell it what the libraries' macros mean."""
    name = 'cppcheck'
    options = ['--enable=warning,style,performance,portability', '--std=c11', '--library=gtk',
               f'--library={HERE / "glib.cfg"}', '--quiet', '--template={file}\t{line}\t{id}\t{message}']

    def version(self):
        return run(['cppcheck', '--version'], '/').stdout + (HERE / 'glib.cfg').read_text()

    def findings(self, unit):
        ours = [flag for flag in unit.flags if flag.startswith(('-I', '-D'))]
        done = run(['cppcheck', *self.options, *ours, unit.file], unit.folder)
        if done.returncode != 0:
            yield Finding('failed', unit.file, 0, done.stdout.strip()[:400])
        yield from parsed(CPPCHECK_LINE, done.stderr)


class Unit:
    """One file and how it is compiled."""

    def __init__(self, entry):
        self.file, self.folder = entry['file'], pathlib.Path(entry['directory'])
        self.path = (self.folder / self.file).resolve()
        self.flags, words = [], iter(shlex.split(entry['command']))
        for word in words:
            if word in ('-o', '-MQ', '-MF'):
                next(words)
            elif word.startswith('-') and word not in ('-c', '-MD', '-fdiagnostics-color=always'):
                self.flags.append(word)

    def digest(self, told):
        """Of what the tool is told and of every file of ours that it reads."""
        made = run(['gcc', *self.flags, '-MM', self.file], self.folder)
        hashed = hashlib.sha256(f'{told}\n{self.flags}\n'.encode())
        for name in made.stdout.replace('\\\n', ' ').split()[1:]:
            hashed.update((self.folder / name).read_bytes())
        return hashed.hexdigest()[:24]


def units_of(top, build, only):
    entries = json.loads((build / 'compile_commands.json').read_text())
    units = {unit.path: unit for unit in map(Unit, entries) if unit.path.is_relative_to(top / 'src')}
    wanted = {path.resolve() for path in only}
    return [unit for path, unit in sorted(units.items()) if not wanted or path in wanted]


def found_by(tool, told, unit, top, kept):
    """The findings of one tool in one file, each once, by paths below @top."""
    state = kept / f'{tool.name}-{unit.digest(told)}.json'
    if state.exists():
        return [Finding(*row) for row in json.loads(state.read_text())]
    found = set()
    for finding in tool.findings(unit):
        path = (unit.folder / finding.path).resolve()
        if path.is_relative_to(top):
            found.add(finding._replace(path=str(path.relative_to(top))))
    state.write_text(json.dumps(sorted(found)))
    return sorted(found)


class Explained:
    def __init__(self, path):
        with path.open() as file:
            rows = csv.reader((line for line in file if not line.startswith('#')), delimiter='\t',
                              quoting=csv.QUOTE_NONE)
            self.known = {tuple(row[:4]): row[4] for row in rows}
        self.unused = set(self.known)

    def reason(self, tool, finding, text):
        for key, reason in self.known.items():
            if (key[:2] == (tool, finding.check) and fnmatch.fnmatch(finding.path, key[2])
                    and key[3] in text):
                self.unused.discard(key)
                return reason
        return None


def text_of(top, finding):
    lines = (top / finding.path).read_text().splitlines()
    return lines[finding.line - 1].strip() if 0 < finding.line <= len(lines) else ''


def silencers(top):
    for path in sorted((top / 'src').rglob('*.[ch]')):
        for number, line in enumerate(path.read_text().splitlines(), 1):
            if SILENCED.search(line):
                yield f'{path.relative_to(top)}:{number}: {line.strip()}'


class Report:
    def __init__(self):
        self.passed = self.failed = 0

    def case(self, name, problems):
        passes = not problems
        self.passed += passes
        self.failed += not passes
        print(f'{"ok" if passes else "not ok"} {self.passed + self.failed} - {name}')
        for problem in problems:
            print(f'# {problem}')
        sys.stdout.flush()


def judge(tool, units, top, kept, explained, report):
    told = f'{tool.version()}{getattr(tool, "options", "")}'
    with concurrent.futures.ThreadPoolExecutor(os.cpu_count()) as pool:
        found = pool.map(lambda unit: found_by(tool, told, unit, top, kept), units)
        for unit, findings in zip(units, found):
            problems = []
            for finding in findings:
                text = text_of(top, finding)
                if explained.reason(tool.name, finding, text) is None:
                    problems.append(f'{finding.path}:{finding.line}: {finding.message} '
                                    f'[{finding.check}]: {text}')
            report.case(f'{tool.name} {unit.path.relative_to(top)}', problems)


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument('top', type=pathlib.Path)
    parser.add_argument('build', type=pathlib.Path)
    parser.add_argument('files', type=pathlib.Path, nargs='*')
    parser.add_argument('--tool', choices=['gcc', 'clang-tidy', 'cppcheck'], action='append')
    options = parser.parse_intermixed_args()
    top, build = options.top.resolve(), options.build.resolve()
    kept = build / 'analysis'
    kept.mkdir(exist_ok=True)
    units, report = units_of(top, build, options.files), Report()
    explained = Explained(HERE / 'explained.tsv')
    for tool in (Gcc(), Tidy(), Cppcheck()):
        if not options.tool or tool.name in options.tool:
            judge(tool, units, top, kept, explained, report)
    if not options.files and not options.tool:
        report.case('nothing in src silences a tool', list(silencers(top)))
        report.case('every explanation explains something', [' '.join(key) for key in sorted(explained.unused)])
    print(f'{report.passed} passed, {report.failed} failed')
    sys.exit(1 if report.failed or not report.passed else 0)


if __name__ == '__main__':
    main()
