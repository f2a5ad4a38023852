from __future__ import annotations

from primecoat.report.page.markup import Markup, folded, join, tag, text


def test_text_is_escaped_and_markup_is_not():
    assert tag("p", "<b>", tag("b", "&")) == "<p>&lt;b&gt;<b>&amp;</b></p>"


def test_attributes_are_escaped_and_may_be_absent():
    made = tag("a", href='"><x>', title=None, hidden=True, class_="one")
    assert made == '<a href="&quot;&gt;&lt;x&gt;" hidden class="one"></a>'


def test_characters_that_turn_or_break_text_are_made_visible():
    assert text("a\u202eb\x00\n") == "a\\u202eb\\x00\\n"


def test_an_unpaired_surrogate_can_be_written_as_utf8():
    assert text("cup\udc80.png").encode("utf-8") == b"cup\\udc80.png"


def test_a_long_list_folds_and_a_short_one_does_not():
    items = [tag("li", str(n)) for n in range(5)]
    assert "details" not in folded(items, shown=4, more="numbers")
    long = folded(items, shown=3, more="numbers")
    assert "<summary>2 more numbers</summary>" in long
    assert all(item in long for item in items)


def test_joining_keeps_the_kind():
    assert isinstance(join(("a", None, tag("br"))), Markup)
