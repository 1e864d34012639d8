"""The ciphers against the test vectors that their standards publish, through our own calls."""

from __future__ import annotations

import pytest

from dictate.store.primitives import (
    BrokenSealError,
    Cost,
    decrypt,
    decrypt_alike,
    derived,
    encrypt,
    encrypt_alike,
    keyed_hash,
    stretched,
)

x = bytes.fromhex


def test_aes_256_gcm() -> None:
    # McGrew and Viega, "The Galois/Counter Mode of Operation (GCM)", appendix B, test case 16.
    key = x("feffe9928665731c6d6a8f9467308308feffe9928665731c6d6a8f9467308308")
    text = x(
        "d9313225f88406e5a55909c5aff5269a86a7a9531534f7da2e4c303d8a318a72"
        "1c3c0c95956809532fcf0e2449a6b525b16aedf5aa0de657ba637b39"
    )
    bound = x("feedfacedeadbeeffeedfacedeadbeefabaddad2")
    nonce = x("cafebabefacedbaddecaf888")
    sealed = x(
        "522dc1f099567d07f47f37a32a84427d643a8cdcbfe5c0c97598a2bd2555d1aa"
        "8cb08e48590dbb3da7b08b1056828838c5f61e6393ba7a0abcc9f662"
        "76fc6ece0f4e1768cddf8853bb2d551b"
    )
    assert encrypt(key, nonce, text, bound) == sealed
    assert decrypt(key, nonce, sealed, bound) == text
    for index in range(len(sealed)):
        with pytest.raises(BrokenSealError):
            decrypt(key, nonce, _flipped(sealed, index), bound)
    with pytest.raises(BrokenSealError):
        decrypt(key, nonce, sealed, bound[:-1])
    with pytest.raises(BrokenSealError):
        decrypt(key, nonce, sealed[:15], bound)


def test_aes_siv() -> None:
    # RFC 5297, A.1 "Deterministic Authenticated Encryption Example".
    key = x("fffefdfcfbfaf9f8f7f6f5f4f3f2f1f0f0f1f2f3f4f5f6f7f8f9fafbfcfdfeff")
    bound = x("101112131415161718191a1b1c1d1e1f2021222324252627")
    text = x("112233445566778899aabbccddee")
    sealed = x("85632d07c6e8f37f950acd320a2ecc9340c02b9690c4dc04daef7f6afe5c")
    assert encrypt_alike(key, text, bound) == sealed
    assert decrypt_alike(key, sealed, bound) == text
    for index in range(len(sealed)):
        with pytest.raises(BrokenSealError):
            decrypt_alike(key, _flipped(sealed, index), bound)
    with pytest.raises(BrokenSealError):
        decrypt_alike(key, sealed, bound[:-1])


def test_hkdf_sha_256() -> None:
    # RFC 5869, A.1 (with a salt) and A.3 (without).
    secret = x("0b" * 22)
    assert derived(secret, x("f0f1f2f3f4f5f6f7f8f9"), 42, salt=bytes(range(13))) == x(
        "3cb25f25faacd57a90434f64d0362f2a2d2d0a90cf1a5a4c5db02d56ecc4c5bf34007208d5b887185865"
    )
    assert derived(secret, b"", 42) == x(
        "8da4e775a563c18f715f802a063c5a31b8a11f5c5ee1879ec3454e5f3c738d2d9d201395faa4b61a96c8"
    )


def test_hmac_sha_256() -> None:
    # RFC 4231, 4.3, test case 2.
    assert keyed_hash(b"Jefe", b"what do ya want for nothing?") == x(
        "5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843"
    )


@pytest.mark.parametrize(
    ("passphrase", "salt", "cost", "key"),
    [
        (
            b"password",
            b"NaCl",
            Cost(1024, 8, 16),
            "fdbabe1c9d3472007856e7190d01e9fe7c6ad7cbc8237830e77376634b373162"
            "2eaf30d92e22a3886ff109279d9830dac727afb94a83ee6d8360cbdfa2cc0640",
        ),
        (
            b"pleaseletmein",
            b"SodiumChloride",
            Cost(16384, 8, 1),
            "7023bdcb3afd7348461c06cd81fd38ebfda8fbba904f8e3ea9b543f6545da1f2"
            "d5432955613f0fcf62d49705242a9af9e61e85dc0d651e40dfcf017b45575887",
        ),
    ],
)
def test_scrypt(passphrase: bytes, salt: bytes, cost: Cost, key: str) -> None:
    # RFC 7914, section 12.
    assert stretched(passphrase, salt, cost, 64) == x(key)


def test_a_cost_that_would_take_the_machine_down_is_not_sane() -> None:
    assert Cost().is_sane
    for n, r, p in ((1 << 21, 8, 1), (1000, 8, 1), (1, 8, 1), (1 << 17, 17, 1), (1 << 17, 8, 5)):
        assert not Cost(n, r, p).is_sane
    assert 128 * Cost().n * Cost().r == 128 << 20  # bytes that each guess needs


def _flipped(data: bytes, index: int) -> bytes:
    return data[:index] + bytes([data[index] ^ 1]) + data[index + 1 :]
