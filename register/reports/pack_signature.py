"""A review pack's signature: by a key of the site's own, in a file that lies beside the pack.

The key is Ed25519 (RFC 8032) in PEM, as `startroll key` and `openssl genpkey -algorithm ed25519` write it. What is
signed is the manifest, in which the hash of every file stands, so that
`openssl pkeyutl -verify -rawin -pubin -inkey PUB -in MANIFEST.sha256 -sigfile SIGNATURE` checks it too.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Any

from register.errors import PackError, Problem, StartrollError
from register.resources import small_file
from register.store.output_file import refuse_taken, write_new

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey


def signature_of(pack: Path) -> Path:
    """Where the signature of a pack lies: beside it, `.sig` behind its name."""
    return pack.with_name(f"{pack.name}.sig")


def public_of(key: Path) -> Path:
    """Where the public half of a key lies: beside it, `.pub` behind its name."""
    return key.with_name(f"{key.name}.pub")


def make_key(key: Path) -> Path:
    """Write a new key that its owner alone may read, and its public half beside it; return the latter's place.

    Raises StartrollError when one of the places is taken or cannot be written.
    """
    kinds = _kinds()
    refuse_taken(key, public_of(key))
    made = kinds.ed25519.Ed25519PrivateKey.generate()
    form = kinds.serialization
    private = made.private_bytes(form.Encoding.PEM, form.PrivateFormat.PKCS8, form.NoEncryption())
    public = made.public_key().public_bytes(form.Encoding.PEM, form.PublicFormat.SubjectPublicKeyInfo)
    before = os.umask(0o077)
    try:
        write_new(key, private)
    finally:
        os.umask(before)
    write_new(public_of(key), public)
    return public_of(key)


def private_key(path: Path) -> Ed25519PrivateKey:
    """The key in a file; StartrollError for a file that holds none, or one behind a password."""
    kinds = _kinds()
    try:
        found = kinds.serialization.load_pem_private_key(_data(path), password=None)
    except TypeError:
        raise StartrollError(Problem("the key is behind a password", "sign with openssl", str(path))) from None
    except (ValueError, kinds.Unsupported):
        found = None
    if not isinstance(found, kinds.ed25519.Ed25519PrivateKey):
        raise StartrollError(Problem("this is no Ed25519 key in PEM", "make one: startroll key", str(path)))
    return found


def sign(manifest: bytes, key: Ed25519PrivateKey, pack: Path) -> Path:
    """Write the signature of a pack with this manifest beside it; return its place."""
    write_new(signature_of(pack), key.sign(manifest))
    return signature_of(pack)


def check(manifest: bytes, pack: Path, key: Path) -> None:
    """Raise PackError where the signature beside a pack is not one of its manifest by that public key."""
    kinds = _kinds()
    public = _public_key(key, kinds)
    place = signature_of(pack)
    try:
        signature = _data(place)
    except StartrollError as error:
        raise PackError(error.problems) from None
    try:
        public.verify(signature, manifest)
    except kinds.InvalidSignature:
        cause = f"this is no signature of {pack.name} by the key {key}"
        remedy = "the pack was altered after it was signed, or another key signed it: ask whoever signed it"
        raise PackError(Problem(cause, remedy, str(place))) from None


def _public_key(path: Path, kinds: Any) -> Ed25519PublicKey:
    try:
        found = kinds.serialization.load_pem_public_key(_data(path))
    except (ValueError, kinds.Unsupported):
        found = None
    if not isinstance(found, kinds.ed25519.Ed25519PublicKey):
        remedy = "name the file that ends in .pub, which whoever signs has handed out"
        raise StartrollError(Problem("this is no public Ed25519 key in PEM", remedy, str(path)))
    return found


def _data(path: Path) -> bytes:
    try:
        return small_file(path)
    except OSError as error:
        gone = isinstance(error, FileNotFoundError)
        cause = "there is no such file" if gone else f"it cannot be read: {error.strerror}"
        raise StartrollError(Problem(cause, "check the name and the folder", str(path))) from None


def _kinds() -> Any:
    """What is needed of `cryptography`, which not every installation has."""
    try:
        from types import SimpleNamespace

        from cryptography.exceptions import InvalidSignature, UnsupportedAlgorithm
        from cryptography.hazmat.primitives import serialization
        from cryptography.hazmat.primitives.asymmetric import ed25519
    except ImportError:
        remedy = 'install it: pip install "startroll[sign]"; or sign and check with openssl (SECURITY.md)'
        raise StartrollError(Problem("signatures need the package cryptography", remedy)) from None
    return SimpleNamespace(
        InvalidSignature=InvalidSignature,
        Unsupported=UnsupportedAlgorithm,
        serialization=serialization,
        ed25519=ed25519,
    )
