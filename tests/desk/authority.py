"""A throw-away time-stamp authority, made with the openssl command: its own root, its own clock.

Its policy is 2.999.7: the arc 2.999 is kept for examples (Rec. ITU-T X.660; from memory).
"""

import subprocess
from dataclasses import dataclass
from pathlib import Path

from tests.needs import need

_CONFIG = """
[req]
distinguished_name = dn
prompt = no
[dn]
CN = throw-away
[root_ext]
basicConstraints = critical,CA:true
keyUsage = critical,keyCertSign,cRLSign
[stamp_ext]
basicConstraints = critical,CA:false
keyUsage = critical,digitalSignature
extendedKeyUsage = critical,timeStamping
[tsa]
default_tsa = own
[own]
serial = {folder}/serial
signer_cert = {folder}/stamp.pem
certs = {folder}/root.pem
signer_key = {folder}/stamp.key
signer_digest = {digest}
default_policy = 2.999.7
digests = sha256,sha512
ess_cert_id_alg = sha256
"""
_KEYS = {"ec": ["ec", "-pkeyopt", "ec_paramgen_curve:P-256"], "rsa": ["rsa:2048"]}


@dataclass(frozen=True, slots=True)
class Authority:
    """An authority in a folder of its own."""

    folder: Path

    @property
    def root(self) -> Path:
        """The certificate that a user would trust."""
        return self.folder / "root.pem"

    def answer(self, request: Path, *, token_alone: bool = False) -> Path:
        """Its answer to a request, in a file beside the request."""
        answer = request.with_suffix(".tst" if token_alone else ".tsr")
        words = ["-reply", "-config", self._config, "-queryfile", request, "-out", answer]
        openssl("ts", *words, *(["-token_out"] if token_alone else []))
        return answer

    def stamps(self, token: Path, digest: str) -> bool:
        """Whether `openssl ts -verify` takes a token as one of the fingerprint."""
        words = ["openssl", "ts", "-verify", "-digest", digest, "-in", str(token), "-token_in"]
        done = subprocess.run(
            [*words, "-CAfile", str(self.root)], capture_output=True, text=True, check=False
        )
        return done.returncode == 0 and "Verification: OK" in done.stdout + done.stderr

    def certify(self, extensions: str, target: Path) -> Path:
        """A certificate of its stamping key by its root, with a section of its configuration."""
        folder = self.folder
        openssl(
            *("x509", "-req", "-in", folder / "stamp.csr", "-CA", folder / "root.pem"),
            *("-CAkey", folder / "root.key", "-set_serial", "7", "-days", "36500"),
            *("-extfile", self._config, "-extensions", extensions, "-out", target),
        )
        return target

    def certified_for(self, usage: str, target: Path) -> Path:
        """A certificate of the same key, name and number that is for something else."""
        with self._config.open("a") as config:
            config.write(f"[{target.stem}]\nextendedKeyUsage = {usage}\n")
        return self.certify(target.stem, target)

    def pretender(self, folder: Path) -> "Authority":
        """An authority whose certificate this one's stamping key has signed, which may not."""
        made = authority(folder)
        openssl(
            *("x509", "-req", "-in", folder / "stamp.csr", "-CA", self.folder / "stamp.pem"),
            *("-CAkey", self.folder / "stamp.key", "-set_serial", "8", "-days", "36500"),
            *("-extfile", made._config, "-extensions", "stamp_ext", "-out", folder / "stamp.pem"),
        )
        pem = (self.folder / "stamp.pem").read_text()
        made.root.write_text(pem)
        return made

    @property
    def _config(self) -> Path:
        return self.folder / "authority.cnf"


def openssl(*words: object) -> None:
    """Run openssl; what it says is shown where it fails."""
    done = subprocess.run(
        ["openssl", *map(str, words)], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr


def authority(folder: Path, *, key: str = "ec", digest: str = "sha256") -> Authority:
    """A new authority."""
    need(["openssl"])
    folder.mkdir()
    config = folder / "authority.cnf"
    config.write_text(_CONFIG.format(folder=folder, digest=digest))
    (folder / "serial").write_text("01\n")
    new_key = ["-newkey", *_KEYS[key], "-nodes", "-config", config]
    root = ["-x509", "-days", "36500", "-extensions", "root_ext", "-subj", "/CN=a root"]
    openssl("req", *new_key, *root, "-keyout", folder / "root.key", "-out", folder / "root.pem")
    openssl(
        *("req", *new_key, "-subj", "/CN=an authority"),
        *("-keyout", folder / "stamp.key", "-out", folder / "stamp.csr"),
    )
    made = Authority(folder)
    made.certify("stamp_ext", folder / "stamp.pem")
    return made


def request(path: Path, data: bytes, *words: str) -> Path:
    """A request of openssl's own about some bytes, SHA-256 unless told otherwise."""
    stamped = path.with_suffix(".data")
    stamped.write_bytes(data)
    method = [] if any(word.startswith("-sha") for word in words) else ["-sha256"]
    openssl("ts", "-query", "-data", stamped, *method, *words, "-out", path)
    return path
