#!/usr/bin/env python3
"""Installs into an empty folder and lets the desktop's own tools judge what stands there.

A TAP program: desktop.py SOURCE BUILD. Nothing of the machine is touched: DESTDIR is a temporary
folder."""
import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as xml

SOURCE, BUILD = pathlib.Path(sys.argv[1]), pathlib.Path(sys.argv[2])
ID = 'io.github.downlead.Downlead'


def run(*command, **options):
    return subprocess.run(command, capture_output=True, text=True, **options)


def stage():
    folder = pathlib.Path(tempfile.mkdtemp(prefix='downlead-stage-'))
    done = run('meson', 'install', '-C', str(BUILD), '--no-rebuild', '--quiet', '--destdir', str(folder))
    if done.returncode != 0:
        print('Bail out! ' + done.stderr.replace('\n', ' '))
        sys.exit(1)
    return folder


def find(name):
    """The staged file of that name, wherever the prefix puts it; fails where there are two or none."""
    found = [p for p in STAGE.rglob(name) if p.is_file()]
    if len(found) != 1:
        raise AssertionError(f'{name}: {len(found)} of them are staged')
    return found[0]


def accepted(*command, **options):
    """No complaint at all: neither an exit code nor a line on standard error."""
    done = run(*command, **options)
    assert done.returncode == 0 and done.stderr.strip() == '', f'{command[0]}: {done.stdout}{done.stderr}'
    return done.stdout


def test_programs():
    for name in ('downlead', 'downlead-cli'):
        assert os.access(find('bin/' + name), os.X_OK)


def test_desktop_file():
    path = find(ID + '.desktop')
    accepted('desktop-file-validate', str(path))
    text = path.read_text()
    assert path.parent.name == 'applications'
    assert f'Icon={ID}\n' in text and 'MimeType=application/x-downlead;\n' in text
    assert re.search(r'^Exec=downlead %[FU]$', text, re.M), 'it takes files'


def test_metainfo():
    path = find(ID + '.metainfo.xml')
    done = run('appstreamcli', 'validate', '--no-net', str(path))
    assert done.returncode == 0, done.stdout
    root = xml.parse(path).getroot()
    assert root.findtext('id') == ID
    assert root.findtext('launchable') == ID + '.desktop'
    assert root.find('.//release').get('version') in (SOURCE / 'meson.build').read_text()


def test_activation():
    text = find(ID + '.service').read_text()
    assert f'Name={ID}\n' in text
    program = re.search(r'^Exec=(\S+) --gapplication-service$', text, re.M).group(1)
    assert os.access(STAGE / program.lstrip('/'), os.X_OK), f'{program} is not staged'
    assert 'DBusActivatable=true\n' in find(ID + '.desktop').read_text()


def test_mime():
    packages = find(ID + '.mime.xml')
    accepted('xmllint', '--noout', str(packages))
    folder = pathlib.Path(tempfile.mkdtemp(prefix='downlead-mime-'))
    (folder / 'packages').mkdir()
    shutil.copy(packages, folder / 'packages')
    done = run('update-mime-database', str(folder))
    assert done.returncode == 0, done.stderr
    assert 'application/x-downlead:*.downlead' in (folder / 'globs2').read_text()
    shutil.rmtree(folder)


def test_icons():
    for name, size in ((ID + '.svg', 'scalable'), (ID + '-symbolic.svg', 'symbolic')):
        path = find(name)
        assert path.parent.parent.name == size and path.parent.name == 'apps', path
        root = xml.parse(path).getroot()
        assert root.tag == '{http://www.w3.org/2000/svg}svg' and root.get('viewBox'), 'a drawing that scales'


def test_schema():
    path = find(ID + '.gschema.xml')
    folder = tempfile.mkdtemp(prefix='downlead-schemas-')
    accepted('glib-compile-schemas', '--strict', '--targetdir', folder, str(path.parent))
    shutil.rmtree(folder)
    keys = set(re.findall(r'key name="([^"]+)"', path.read_text()))
    named = set(re.findall(r'#define DWN_SETTING_\w+ "([^"]+)"', (SOURCE / 'src/app/settings.h').read_text()))
    assert named <= keys, f'settings.h names {named - keys}'


def test_man_pages():
    for name in ('downlead.1', 'downlead-cli.1'):
        path = find(name)
        text = accepted('man', '--warnings', '-E', 'UTF-8', '-l', '-Tutf8', str(path), env={**os.environ, 'LC_ALL': 'C.UTF-8'})
        assert len(text.splitlines()) > 15, name
    page = find('downlead-cli.1').read_text().replace('\\-', '-')
    commands = re.findall(r'^  ([a-z-]+) ', run(str(BUILD / 'src/cli/downlead-cli'), '--help').stdout, re.M)
    assert len(commands) > 10
    missing = [c for c in commands if not re.search(r'\b' + c + r'\b', page)]
    assert not missing, f'the man page lacks {missing}'


def test_completion():
    path = find('completions/downlead-cli')
    accepted('bash', '-n', str(path))
    script = (f'PATH={BUILD / "src/cli"}:$PATH; . {path}; complete -p downlead-cli; '
              'COMP_WORDS=(downlead-cli adv); COMP_CWORD=1; _downlead_cli; echo "${COMPREPLY[@]}"; '
              'COMP_WORDS=(downlead-cli sheet --pa); COMP_CWORD=2; _downlead_cli; echo "${COMPREPLY[@]}"')
    lines = accepted('bash', '-c', script).splitlines()
    assert lines[0] == 'complete -F _downlead_cli downlead-cli'
    assert lines[1].split() == ['advise'], lines
    assert lines[2].split(), 'options are offered'


def test_help():
    pages = sorted(p.name for p in (SOURCE / 'help' / 'C').glob('*.page'))
    staged = sorted(p.name for p in STAGE.rglob('help/C/downlead/*.page'))
    assert pages == staged, f'not installed: {set(pages) - set(staged)}'


def test_nothing_else():
    """What is staged belongs to a program: no test, no header, no static library."""
    strange = [str(p) for p in STAGE.rglob('*') if p.suffix in ('.a', '.h', '.py', '.o') or 'test' in p.name]
    assert not strange, strange


def main():
    tests = [(name[5:].replace('_', '-'), test) for name, test in globals().items() if name.startswith('test_')]
    failed = 0
    print(f'1..{len(tests)}')
    for number, (name, test) in enumerate(tests, 1):
        try:
            test()
            print(f'ok {number} {name}')
        except (AssertionError, StopIteration, AttributeError, OSError) as fault:
            failed += 1
            for line in f'{type(fault).__name__}: {fault}'.splitlines():
                print('# ' + line)
            print(f'not ok {number} {name}')
    return 1 if failed else 0


STAGE = stage()
try:
    code = main()
finally:
    shutil.rmtree(STAGE)
sys.exit(code)
