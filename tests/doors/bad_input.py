"""Bad input of every kind: real files bent in places, and bytes that were never one."""

from __future__ import annotations

from hypothesis import strategies as st

SNIPPETS = (
    b"\0", b"\xff\xfe", b"\xf0\x9f\x92\xa7", b"\xe2\x80\xae", b"\r", b"\n" * 50, b"[" * 300, b"[[x]]\n",
    b"{" * 300, b"9" * 400, b"-1", b"1e999999", b"1e999999999", b"inf", b"nan", b"0x7fffffffffffffff",
    b"1_000_000_000_000", b'"""', b"'''", b" = = ", b"a." * 900 + b"a = 1",
    b"../../../x", b"CON", b"#" * 3000, b"true", b"false",
    b"2026-01-01T00:00:00Z", b"''", b'""', b"{}", b"[]", b"{x = {y = {z = 1}}}", b"\\u0000", b"\\U00110000",
)  # fmt: skip
ABSURD = st.one_of(
    st.sampled_from(SNIPPETS), st.binary(max_size=40), st.integers().map(lambda one: str(one).encode())
)


@st.composite
def bent(draw: st.DrawFn, good: bytes) -> bytes:
    """A good file with one to six places cut out, doubled, overwritten or filled with something absurd."""
    content = good
    for _ in range(draw(st.integers(1, 6))):
        start = draw(st.integers(0, len(content)))
        end = min(len(content), start + draw(st.one_of(st.integers(0, 8), st.integers(0, 4000))))
        how = draw(st.sampled_from(("cut", "double", "put", "over", "flip")))
        middle = content[start:end]
        if how == "cut":
            middle = b""
        elif how == "double":
            middle = middle * 2
        elif how == "put":
            middle = draw(ABSURD) + middle
        elif how == "over":
            middle = draw(ABSURD)
        elif middle:
            place = draw(st.integers(0, len(middle) - 1))
            middle = (
                middle[:place] + bytes([middle[place] ^ (1 << draw(st.integers(0, 7)))]) + middle[place + 1 :]
            )
        content = content[:start] + middle + content[end:]
    return content


def files(*good: bytes) -> st.SearchStrategy[bytes]:
    """Bent good files, mostly, and bytes of any kind."""
    return st.one_of(*(bent(one) for one in good), *(bent(one) for one in good), st.binary(max_size=2000))
