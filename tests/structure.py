#!/usr/bin/env python3
"""Checks what no compiler does: arrows between rooms, the top level, names that may not be seen.

A TAP program; the first argument is the top of the source tree."""
import pathlib
import re
import sys

TOP = pathlib.Path(sys.argv[1])
ALLOWED_TOP = {'README.md', 'DEVELOPERS.md', 'LICENSE', 'meson.build', 'src', 'data', 'po', 'tests', 'help'}
ROOMS = ['data', 'geo', 'terrain', 'radio', 'antenna', 'chain', 'plan', 'study']
# Room -> rooms whose headers it may include, its own always among them.
ARROWS = {
    'core/data': [],
    'core/geo': ['core/data'],
    'core/terrain': ['core/data', 'core/geo'],
    'core/radio': ['core/data', 'core/geo'],
    'core/antenna': ['core/data', 'core/geo', 'core/radio'],
    'core/chain': ['core/data', 'core/geo', 'core/radio', 'core/antenna'],
    'core/plan': ['core/' + r for r in ROOMS[:6]],
    'core/study': ['core/' + r for r in ROOMS[:7]],
    'words': ['core/' + r for r in ROOMS],
    'draw': ['core/' + r for r in ROOMS] + ['words'],
    'cli': ['core/' + r for r in ROOMS] + ['words', 'draw'],
    'app': ['core/' + r for r in ROOMS] + ['words', 'draw'],
}
# Library headers that a layer may not see.
FORBIDDEN = {
    'core': r'(gtk|gdk|gsk|cairo|pango|adwaita)',
    'words': r'(gtk|gdk|gsk|cairo|pango|adwaita|libxml|tiff|archive)',
    'draw': r'(gtk|gdk|gsk|adwaita|libxml|tiff|archive)',
    'cli': r'(gtk|gdk|gsk|adwaita|libxml|tiff|archive)',
}


def room_of(path):
    parts = path.relative_to(TOP / 'src').parts
    return '/'.join(parts[:2]) if parts[0] == 'core' else parts[0]


def sources():
    return sorted(p for p in (TOP / 'src').rglob('*.[ch]'))


def include_faults():
    for path in sources():
        room = room_of(path)
        layer = room.split('/')[0]
        for number, line in enumerate(path.read_text().splitlines(), 1):
            own = re.match(r'#include "((core/\w+|words|draw|app|cli)/[^"]+)"', line)
            if own and own[2] != room and own[2] not in ARROWS[room]:
                yield f'{path.relative_to(TOP)}:{number}: {room} may not see {own[2]}'
            foreign = re.match(r'#include [<"]([^>"]+)', line)
            if foreign and layer in FORBIDDEN and re.match(FORBIDDEN[layer], foreign[1]):
                yield f'{path.relative_to(TOP)}:{number}: {layer} may not see {foreign[1]}'


def top_faults():
    for path in TOP.iterdir():
        name = path.name
        if not (name in ALLOWED_TOP or name.startswith('.') or name.startswith('build')):
            yield f'{name} is not in the layout'


def long_faults():
    for path in sources():
        lines = len(path.read_text().splitlines())
        if lines > 1000:
            yield f'{path.relative_to(TOP)} has {lines} lines; split it before 1,000'


def mutable_faults():
    """No mutable globals in the core, words and draw: a static at file level is const or a once."""
    pattern = re.compile(r'^static (?!const\b|inline\b)[\w\s\*]+?\b(\w+)(\[[^\]]*\])*\s*(=|;)')
    for path in sources():
        if room_of(path) in ('app', 'cli'):
            continue
        for number, line in enumerate(path.read_text().splitlines(), 1):
            if pattern.match(line) and 'const' not in line and 'GOnce' not in line and 'GMutex' not in line:
                yield f'{path.relative_to(TOP)}:{number}: {line.strip()}'


def translation_faults():
    listed = set((TOP / 'po' / 'POTFILES').read_text().split())
    for path in sources():
        name = str(path.relative_to(TOP))
        if path.suffix == '.c' and re.search(r'\bN?_ \("', path.read_text()) and name not in listed:
            yield f'{name} has text to translate and is not in po/POTFILES'
    for path in [TOP / 'po' / 'data-words.c', *sorted((TOP / 'data' / 'desktop').glob('*.in'))]:
        name = str(path.relative_to(TOP))
        if '@' not in path.read_text() and name not in listed:
            yield f'{name} has text to translate and is not in po/POTFILES'
    for name in sorted(listed):
        if not (TOP / name).exists():
            yield f'po/POTFILES names {name}, which is not there'


CHECKS = [
    ('arrows go one way', include_faults),
    ('the top level is as designed', top_faults),
    ('no file over 1,000 lines', long_faults),
    ('no mutable globals below app and cli', mutable_faults),
    ('every text can be translated', translation_faults),
]

print(f'1..{len(CHECKS)}')
failed = False
for i, (name, check) in enumerate(CHECKS, 1):
    faults = list(check())
    for fault in faults:
        print(f'# {fault}')
    failed = failed or bool(faults)
    print(f"{'not ok' if faults else 'ok'} {i} {name}")
sys.exit(1 if failed else 0)
