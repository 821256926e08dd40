"""What goes to a time-stamp authority and what comes back (RFC 3161), byte by byte. No store here.

Reading is `exports.verify`'s own small reader of DER. The signature is checked here, with the
signature algorithms and certificates of `cryptography`: token, signer's certificate, and the way
from it to a certificate that the user trusts.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC
from pathlib import Path
from typing import TYPE_CHECKING
from warnings import catch_warnings, simplefilter

from exports.verify import DerItem, TimeStamp, der_inside, der_items, time_stamp_of
from triplog.desk.refused import Refused

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.hashes import HashAlgorithm
    from cryptography.x509 import Certificate

ANSWER_BYTES_MAX = 64 << 10
NONCE_BYTES = 8
_SET, _CERTIFICATES, _SIGNED_ATTRIBUTES = 0x31, 0xA0, 0xA0
_INTEGER, _BIT_STRING, _OCTETS, _OID, _UTF8, _SEQUENCE = 0x02, 0x03, 0x04, 0x06, 0x0C, 0x30
_SHA256_WITH_NULL = bytes.fromhex("300d06096086480165030402010500")
_CONTENT_TYPE = bytes.fromhex("2a864886f70d010903")
_MESSAGE_DIGEST = bytes.fromhex("2a864886f70d010904")
_TIME_STAMP = bytes.fromhex("2a864886f70d0109100104")
_HASHES = {
    bytes.fromhex("608648016503040201"): "SHA256",
    bytes.fromhex("608648016503040202"): "SHA384",
    bytes.fromhex("608648016503040203"): "SHA512",
}
_STATUS = {
    2: "rejected the request",
    3: "is still waiting",
    4: "warns that its certificate is being revoked",
    5: "says that its certificate was revoked",
}
_WAY_MAX = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """A time-stamp as it came: the token's bytes, what it says, and the certificates with it."""

    token: bytes
    stamp: TimeStamp
    certificates: tuple[bytes, ...]


class SignatureDoubtful(ValueError):
    """The signature of a time-stamp does not hold, or cannot be told to; the message says why."""


def request_bytes(imprint: bytes, nonce: int) -> bytes:
    """A TimeStampReq for a SHA-256 (RFC 3161, 2.4.1), which asks for the certificate as well."""
    stamped = _der(_SEQUENCE, _SHA256_WITH_NULL + _der(_OCTETS, imprint))
    number = nonce.to_bytes(nonce.bit_length() // 8 + 1)
    ask_certificate = b"\x01\x01\xff"
    return _der(_SEQUENCE, b"\x02\x01\x01" + stamped + _der(_INTEGER, number) + ask_certificate)


def _der(tag: int, content: bytes) -> bytes:
    """A value in DER, of a content that is shorter than 128 bytes."""
    assert len(content) < 0x80, "a request is short"
    return bytes((tag, len(content))) + content


def answer_of(data: bytes) -> Answer:
    """Read a TimeStampResp (RFC 3161, 2.4.2).

    Raises Refused for an answer without a time-stamp, ValueError, in words, for what is no answer.
    """
    if len(data) > ANSWER_BYTES_MAX:
        raise ValueError(f"an answer has at most {ANSWER_BYTES_MAX} bytes")
    parts = der_inside(data)
    if not 1 <= len(parts) <= 2 or parts[0].tag != _SEQUENCE:
        raise ValueError("it is no answer of an authority")
    status = der_items(parts[0].content)
    if not status or status[0].tag != _INTEGER:
        raise ValueError("it has no status")
    granted = int.from_bytes(status[0].content, signed=True)
    if granted not in (0, 1):
        told = "; ".join(_told_status(status[1:]))
        says = _STATUS.get(granted, f"answered with the unknown status {granted}")
        raise Refused(f"the authority {says}{': ' if told else ''}{told}")
    if len(parts) != 2:
        raise ValueError("it is granted, and holds no time-stamp")
    token = parts[1].whole
    return Answer(token=token, stamp=time_stamp_of(token), certificates=certificates_of(token))


def _told_status(more: Sequence[DerItem]) -> Iterator[str]:
    """What the authority wrote beside its status, printable, and its failure bits."""
    for item in more:
        if item.tag == _SEQUENCE:
            for text in der_items(item.content):
                shown = text.content.decode("utf-8", "replace") if text.tag == _UTF8 else ""
                yield "".join(letter if letter.isprintable() else " " for letter in shown)[:200]
        elif item.tag == _BIT_STRING:
            yield f"failure {item.content.hex()[:16]}"


def _signed_data(token: bytes) -> list[DerItem]:
    """The parts of SignedData (RFC 5652, 5.1) of a token that `time_stamp_of` has read."""
    return der_inside(der_inside(token)[1].content)


def certificates_of(token: bytes) -> tuple[bytes, ...]:
    """The certificates that came with a token, each in DER."""
    inside = [one for one in _signed_data(token)[3:] if one.tag == _CERTIFICATES]
    return tuple(one.whole for part in inside for one in der_items(part.content))


def authority_certificates(path: Path) -> "list[Certificate]":
    """The certificates of a PEM file that the user trusts. Raises Refused."""
    from cryptography.x509 import InvalidVersion, load_pem_x509_certificates

    try:
        with path.open("rb") as file:
            pem = file.read(1 << 20)
        return load_pem_x509_certificates(pem)
    except OSError as problem:
        raise Refused(f"{path} cannot be read: {problem.strerror or problem}") from problem
    except (ValueError, InvalidVersion) as problem:
        raise Refused(f"{path} holds no certificate in PEM form") from problem


def check_signature(answer: Answer, trusted: "Sequence[Certificate]") -> "Certificate":
    """The trusted certificate that a time-stamp's signature leads to.

    Looked at: the signature over the signed attributes, that those are of this time-stamp, that
    the signer's certificate is for time-stamping and for nothing else, and that it leads to one of
    the trusted, each valid at the time stamped. Revocation is not looked at. Raises
    SignatureDoubtful.
    """
    from cryptography import x509
    from cryptography.exceptions import UnsupportedAlgorithm

    odd = (x509.InvalidVersion, x509.DuplicateExtension, x509.UnsupportedGeneralNameType)
    try:
        with catch_warnings():
            simplefilter("ignore")  # of what is odd about a stranger's certificate
            signers = der_items(_signed_data(answer.token)[-1].content)
            if len(signers) != 1:
                raise SignatureDoubtful(f"it has {len(signers)} signatures, and not one")
            signer = der_items(signers[0].content)
            given = [x509.load_der_x509_certificate(one) for one in answer.certificates]
            leaf = _signer_certificate(signer, [*given, *trusted])
            _check_signed(answer.stamp, signer, leaf)
            _check_purpose(leaf)
            return _way(leaf, given, trusted, answer.stamp)
    except SignatureDoubtful:
        raise
    except (ValueError, TypeError, IndexError, UnsupportedAlgorithm, *odd) as problem:
        raise SignatureDoubtful(f"it cannot be checked here: {problem}") from problem


def _signer_certificate(
    signer: list[DerItem], certificates: "Sequence[Certificate]"
) -> "Certificate":
    """The certificate that SignerInfo (RFC 5652, 5.3) names by issuer and number."""
    issuer, number = der_inside(signer[1].whole)
    for one in certificates:
        named = one.issuer.public_bytes() == issuer.whole
        if named and one.serial_number == int.from_bytes(number.content, signed=True):
            return one
    raise SignatureDoubtful("the signer's certificate is neither with it nor in your file")


def _check_signed(stamp: TimeStamp, signer: list[DerItem], leaf: "Certificate") -> None:
    """The signed attributes are of this time-stamp, and the signature is over them."""
    from cryptography.hazmat.primitives import hashes

    method = _hash_of(signer[2])
    attributes = signer[3]
    if attributes.tag != _SIGNED_ATTRIBUTES:
        raise SignatureDoubtful("its signature is of a form without signed attributes")
    said = {}
    for attribute in der_items(attributes.content):
        name, values = der_items(attribute.content)
        said[name.content] = der_items(values.content)[0].content
    digest = hashes.Hash(method)
    digest.update(stamp.info)
    wanted = {_CONTENT_TYPE: _TIME_STAMP, _MESSAGE_DIGEST: digest.finalize()}
    if any(said.get(name) != value for name, value in wanted.items()):
        raise SignatureDoubtful("its signature is that of another time-stamp")
    as_set = bytes((_SET,)) + attributes.whole[1:]
    _check_bytes(leaf, signer[5].content, as_set, method)


def _hash_of(algorithm: DerItem) -> "HashAlgorithm":
    from cryptography.hazmat.primitives import hashes

    name = _HASHES.get(der_items(algorithm.content)[0].content)
    if name is None:
        raise SignatureDoubtful("its signature rests on a hash that is not known here")
    method: HashAlgorithm = getattr(hashes, name)()
    return method


def _check_bytes(
    leaf: "Certificate", signature: bytes, signed: bytes, method: "HashAlgorithm"
) -> None:
    from cryptography.exceptions import InvalidSignature
    from cryptography.hazmat.primitives.asymmetric import ec, padding, rsa

    key = leaf.public_key()
    try:
        if isinstance(key, rsa.RSAPublicKey):
            key.verify(signature, signed, padding.PKCS1v15(), method)
        elif isinstance(key, ec.EllipticCurvePublicKey):
            key.verify(signature, signed, ec.ECDSA(method))
        else:
            raise SignatureDoubtful("its key is neither RSA nor of an elliptic curve")
    except InvalidSignature:
        raise SignatureDoubtful("the signature does not fit what is signed") from None


def _check_purpose(leaf: "Certificate") -> None:
    """The signer's certificate is for time-stamping alone, and says so critically (2.3)."""
    from cryptography.x509 import ExtendedKeyUsage, ExtensionNotFound
    from cryptography.x509.oid import ExtendedKeyUsageOID

    try:
        usage = leaf.extensions.get_extension_for_class(ExtendedKeyUsage)
    except ExtensionNotFound:
        raise SignatureDoubtful("the signer's certificate is not for time-stamping") from None
    if not usage.critical or list(usage.value) != [ExtendedKeyUsageOID.TIME_STAMPING]:
        raise SignatureDoubtful("the signer's certificate is not for time-stamping alone")


def _way(
    leaf: "Certificate",
    given: "Sequence[Certificate]",
    trusted: "Sequence[Certificate]",
    stamp: TimeStamp,
) -> "Certificate":
    """The trusted certificate that the signer's leads to, each on the way valid when it stamped."""
    from cryptography.exceptions import InvalidSignature
    from cryptography.x509 import BasicConstraints, ExtensionNotFound

    when = stamp.gen_time.astimezone(UTC)
    here = leaf
    for _ in range(_WAY_MAX):
        if not here.not_valid_before_utc <= when <= here.not_valid_after_utc:
            raise SignatureDoubtful("a certificate was not valid at the time it stamps")
        if here in trusted:
            return here
        for issuer in (*trusted, *given):
            try:
                here.verify_directly_issued_by(issuer)
                limits = issuer.extensions.get_extension_for_class(BasicConstraints).value
            except (ValueError, TypeError, InvalidSignature, ExtensionNotFound):
                continue
            if limits.ca and issuer != here:
                here = issuer
                break
        else:
            break
    raise SignatureDoubtful("its certificate does not lead to one in your file")
