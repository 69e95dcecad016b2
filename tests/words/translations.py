#!/usr/bin/env python3
"""Every translation is whole: all texts of the sources, no fuzzy ones, the same blanks to fill in."""
import pathlib
import re
import subprocess
import sys
import tempfile

TOP = pathlib.Path(sys.argv[1])
LANGUAGES = (TOP / 'po' / 'LINGUAS').read_text().split()
KEYWORDS = ['_', 'N_', 'C_:1c,2', 'NC_:1c,2', 'g_dngettext:2,3', 'dwn_word_plural:2,3', 'COUNT:3,4']


def run(*command):
    return subprocess.run(command, cwd=TOP, capture_output=True, text=True, check=False)


def template(folder):
    pot = folder / 'downlead.pot'
    made = run('xgettext', '--from-code=UTF-8', *(f'--keyword={word}' for word in KEYWORDS),
               '--flag=g_strdup_printf:1:c-format', '--files-from=po/POTFILES', '-o', str(pot))
    assert made.returncode == 0, made.stderr
    return pot


def unquote(lines):
    return ''.join(re.findall(r'^[^"]*"(.*)"$', line)[0] for line in lines).replace('\\"', '"')


def entries(path):
    """(msgid, msgid_plural or None, [msgstr]) of each message of a .po file."""
    text = run('msgcat', '--no-wrap', str(path)).stdout
    for block in text.split('\n\n'):
        fields, current = {}, None
        for line in block.splitlines():
            if line.startswith('#'):
                continue
            match = re.match(r'(msgctxt|msgid_plural|msgid|msgstr(?:\[\d\])?) ', line)
            current = match.group(1) if match else current
            fields.setdefault(current, []).append(line)
        texts = {key: unquote(value) for key, value in fields.items()}
        if texts.get('msgid'):
            yield (texts['msgid'], texts.get('msgid_plural'),
                   [value for key, value in texts.items() if key.startswith('msgstr')])


def stale_data_words():
    made = run(sys.executable, 'po/data-words', '--print').stdout
    if made != (TOP / 'po' / 'data-words.c').read_text(encoding='utf-8'):
        yield 'po/data-words.c is not what po/data-words writes: run it'


def missing(language, pot):
    """msgcmp fails on what is untranslated, fuzzy or absent."""
    compared = run('msgcmp', f'po/{language}.po', str(pot))
    if compared.returncode != 0:
        yield from compared.stderr.splitlines()[:20]


def malformed(language, _pot):
    """printf blanks and plural forms, as msgfmt knows them."""
    checked = run('msgfmt', '--check', '-o', '/dev/null', f'po/{language}.po')
    if checked.returncode != 0:
        yield from checked.stderr.splitlines()[:20]


def blanks(text):
    return sorted(re.findall(r'\{[a-z_]+\}', text))


def lost_blanks(language, _pot):
    """{name} blanks: each of the original's in the translation, and no other."""
    for one, many, translations in entries(TOP / 'po' / f'{language}.po'):
        allowed = [set(blanks(one)), set(blanks(many or one))]
        for translation in translations:
            if set(blanks(translation)) not in allowed:
                yield f'{language}: blanks {blanks(translation)} for “{one}”'


def ragged(language, _pot):
    """A text that ends a line, a label or a list keeps its blank or line end."""
    for one, _many, translations in entries(TOP / 'po' / f'{language}.po'):
        for translation in translations:
            if one.endswith('\\n') != translation.endswith('\\n') or \
               one.endswith(' ') != translation.endswith(' ') or \
               one.startswith(' ') != translation.startswith(' '):
                yield f'{language}: spaces around “{translation}” differ from “{one}”'


CHECKS = [('has every text', missing), ('fills in what the program gives', malformed),
          ('keeps named blanks', lost_blanks), ('keeps spaces at its ends', ragged)]

with tempfile.TemporaryDirectory() as name:
    pot = template(pathlib.Path(name))
    cases = [('words of data files are there to translate', list(stale_data_words()))]
    cases += [(f'{language} {what}', list(check(language, pot)))
              for language in LANGUAGES for what, check in CHECKS]

print(f'1..{len(cases)}')
for number, (what, faults) in enumerate(cases, 1):
    for fault in faults:
        print(f'# {fault}')
    print(f"{'not ok' if faults else 'ok'} {number} - {what}")
sys.exit(1 if any(faults for _what, faults in cases) else 0)
