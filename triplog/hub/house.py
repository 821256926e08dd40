"""What lies beside a hub's database on the machine that serves it: its key, its certificate, where
it is reached."""

import hashlib
import ipaddress
import json
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from triplog.desk.refused import Refused
from triplog.journal.store_file import write_durably

_ADDRESS = "hub-address.json"
_CERTIFICATE, _CERTIFICATE_KEY = "hub-certificate.pem", "hub-certificate-key.pem"
_LASTS = timedelta(days=3650)


@dataclass(frozen=True, slots=True)
class Reached:
    """Where a hub is reached. `pin`: the SHA-256 of its certificate; None: it has none."""

    address: str
    pin: str | None


def keep_reached(home: Path, reached: Reached) -> None:
    """Keep where the hub is reached, for the codes that are drawn."""
    told = {"address": reached.address, "certificate": reached.pin}
    write_durably(home / _ADDRESS, json.dumps(told).encode())


def reached(home: Path) -> Reached:
    """Where the hub of this machine is reached. Raises Refused where it was never served."""
    try:
        told = json.loads((home / _ADDRESS).read_text("utf-8"))
        return Reached(str(told["address"]), told["certificate"])
    except (OSError, ValueError, KeyError, TypeError):
        raise Refused("the hub was never served here; start it first: triplog hub serve") from None


def own_certificate(home: Path, address: str, now: datetime) -> tuple[Path, Path]:
    """A certificate of the hub's own and its key, made once; devices hold to it by its digest."""
    from cryptography import x509
    from cryptography.hazmat.primitives import hashes
    from cryptography.hazmat.primitives.asymmetric import ec
    from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat
    from cryptography.x509.oid import NameOID

    certificate, key_file = home / _CERTIFICATE, home / _CERTIFICATE_KEY
    if certificate.is_file() and key_file.is_file():
        return certificate, key_file
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "triplog hub")])
    where = x509.SubjectAlternativeName([x509.IPAddress(ipaddress.ip_address(address))])
    made = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - timedelta(days=1))
        .not_valid_after(now + _LASTS)
        .add_extension(where, critical=False)
        .sign(key, hashes.SHA256())
    )
    pem = key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
    write_durably(key_file, pem, 0o600)
    write_durably(certificate, made.public_bytes(Encoding.PEM))
    return certificate, key_file


def pin_of(certificate: Path) -> str:
    """The SHA-256 of a certificate in a PEM file. Raises Refused where it holds none."""
    from cryptography import x509
    from cryptography.hazmat.primitives.serialization import Encoding

    try:
        found = x509.load_pem_x509_certificate(certificate.read_bytes())
    except (OSError, ValueError) as problem:
        raise Refused(f"{certificate} holds no certificate: {problem}") from problem
    return hashlib.sha256(found.public_bytes(Encoding.DER)).hexdigest()
