"""Review packs that were altered, made anew or added to: `verify` tells, by itself or by what was noted elsewhere."""

import os
import random
import shutil
import subprocess
import sys

import pytest
from damage import damaged
from on_trial import SHARE, in_place, trials
from sound_end import sound

from register.reports import review

DAY = ("--today", "2026-11-25")


@pytest.fixture(scope="session")
def pack(small, tmp_path_factory):
    """A pack as a file and as a folder, signed, with the hash of its manifest."""
    pytest.importorskip("cryptography")
    folder = tmp_path_factory.mktemp("pack")
    assert in_place(["key", folder / "site.key"], folder).code == 0
    for name in ("pack.zip", "pack"):
        command = ["review", "--pack", folder / name, "--sign", folder / "site.key", "-r", small, *DAY]
        ended = in_place(command, folder)
        assert ended.code == 0, ended.told
    return folder


@pytest.mark.parametrize("part", range(4 if SHARE else 1))
def test_a_tampered_pack(part, pack, tmp_path, room, tally):
    whole = (pack / "pack.zip").read_bytes()
    names = sorted(p.relative_to(pack / "pack") for p in (pack / "pack").rglob("*") if p.is_file())
    folder = shutil.copytree(pack / "pack", tmp_path / "pack")
    for number in range(trials(2, 150)):
        chance = random.Random(f"pack {part} {number}")
        if chance.random() < 0.5:
            tampered = tmp_path / "pack.zip"
            tampered.write_bytes(strictly(whole, chance))
            sound(room.tried(["verify", tampered]), {5}, f"pack {part} {number}")
        else:
            path = folder / chance.choice(names)
            before = path.read_bytes()
            path.write_bytes(strictly(before, chance))
            sound(room.tried(["verify", folder]), {5}, f"pack {part} {number} {path.name}")
            path.write_bytes(before)
        tally("tampered packs")
    assert room.tried(["verify", folder]).code == 0


def strictly(data: bytes, chance: random.Random) -> bytes:
    """Damaged, and not by chance the same."""
    while (made := damaged(data, chance)) == data:
        pass
    return made


@pytest.mark.parametrize("part", range(2 if SHARE else 1))
def test_a_pack_made_anew_with_its_manifest(part, pack, tmp_path, room, tally):
    """Files and manifest fit; what was noted elsewhere and the signer's key do not."""
    noted = review.verify(pack / "pack").manifest_hash
    files = review.files_of(pack / "pack")
    forged = tmp_path / "forged.zip"
    shutil.copy(pack / "pack.zip.sig", f"{forged}.sig")
    for number in range(trials(2, 100)):
        chance = random.Random(f"forged {part} {number}")
        name = chance.choice([name for name in files if name != review.MANIFEST])
        anew = files | {name: strictly(files[name], chance)}
        anew.pop(review.MANIFEST)
        anew[review.MANIFEST] = review.manifest(anew)
        forged.write_bytes(review.zipped(anew))
        what = f"forged {part} {number} {name}"
        assert room.tried(["verify", forged]).code == 0
        sound(room.tried(["verify", forged, "--expect", noted]), {5}, what)
        sound(room.tried(["verify", forged, "--key", pack / "site.key.pub"]), {5}, what)
        tally("packs made anew")


def _link(path, chance):
    kept = path.with_name("kept")
    path.rename(kept)
    path.symlink_to(shutil.move(kept, path.parents[len(path.parents) - 3] / f"kept-{chance.random()}"))


BESIDES = {
    "a file more": lambda path, chance: path.with_name(f"{chance.random()}.csv").write_bytes(b""),
    "a folder more": lambda path, chance: path.with_name(f"{chance.random()}").mkdir(),
    "a file less": lambda path, chance: path.unlink(),
    "another name": lambda path, chance: path.rename(path.with_name(f"{chance.random()}")),
    "a program": lambda path, chance: path.chmod(0o755),
    "a link": _link,
    "a pipe": lambda path, chance: (path.unlink(), os.mkfifo(path)),
}


def test_a_pack_with_something_besides(pack, tmp_path, room, tally):
    names = sorted(p.relative_to(pack / "pack") for p in (pack / "pack").rglob("*") if p.is_file())
    folder = tmp_path / "pack"
    for number in range(trials(7, 200)):
        chance = random.Random(f"besides {number}")
        shutil.rmtree(folder, ignore_errors=True)
        shutil.copytree(pack / "pack", folder)
        what = list(BESIDES)[number % len(BESIDES)]
        BESIDES[what](folder / chance.choice(names), chance)
        sound(room.tried(["verify", folder]), {5}, f"besides {number} {what}")
        tally("packs with something besides")


ELSEWHERE = (
    (0o022, {"TZ": "UTC", "LC_ALL": "C", "PYTHONHASHSEED": "1"}),
    (0o077, {"TZ": "Pacific/Auckland", "LC_ALL": "C.utf8", "PYTHONHASHSEED": "4242", "PYTHONUTF8": "1"}),
)


def test_the_same_pack_in_another_zone_locale_and_umask(small, tmp_path):
    packs = []
    for number, (umask, environment) in enumerate(ELSEWHERE):
        pack = tmp_path / f"{number}.zip"
        command = [sys.executable, "-m", "register.cli.app", "review", "--pack", pack, "-r", small, *DAY]
        subprocess.run(command, env=os.environ | environment, umask=umask, check=True, capture_output=True)
        packs.append(pack.read_bytes())
    assert packs[0] == packs[1]
