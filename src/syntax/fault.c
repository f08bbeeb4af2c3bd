/* What is said about spellings that people use and the language does not take.
 *
 * Given a refused token and the text around it, makes one sentence that names what is wrong and how it is
 * written instead; where the spelling has two readings, both. A table says for most faults what is said; the
 * rest have a function.
 */
#include "syntax/fault.h"

#include "syntax/tree.h"

#include <string.h>

enum { SHOWN_BYTES = 60 };

const char *fault_shown(Arena *arena, Slice slice)
{
    size_t length = 0;
    while (length < slice.length && length < SHOWN_BYTES && slice.at[length] != '\n' &&
           slice.at[length] != '\r')
        length++;
    bool cut = length < slice.length && length == SHOWN_BYTES;
    while (cut && length > 0 && ((unsigned char)slice.at[length] & 0xC0) == 0x80) length--;
    return arena_print(arena, "%.*s%s", (int)length, slice.at, cut ? "..." : "");
}

static const char *unknown(Arena *arena, Slice text)
{
    return arena_print(arena, "\"%s\" is no sign of the language", fault_shown(arena, text));
}

/* ------------------------------------------------------------------ numbers */

static int digits_value(Slice digits)
{
    int value = 0;
    for (size_t i = 0; i < digits.length; i++) value = value * 10 + (digits.at[i] - '0');
    return value;
}

/* Three figures between slashes, points or hyphens. */
static bool three_numbers(Slice text, Slice part[3])
{
    size_t count = 0, begin = 0;
    for (size_t i = 0; i <= text.length; i++) {
        if (i < text.length && text.at[i] >= '0' && text.at[i] <= '9') continue;
        if (count == 3 || i - begin > 4) return false;
        part[count++] = (Slice){text.at + begin, i - begin};
        begin = i + 1;
    }
    return count == 3;
}

static const char *numeric_date(Arena *arena, Slice text)
{
    Slice part[3];
    const char *shown = fault_shown(arena, text);
    if (!three_numbers(text, part)) return arena_print(arena, "\"%s\" is neither a number nor a date", shown);
    bool year_first = part[0].length == 4;
    int year = digits_value(part[year_first ? 0 : 2]);
    if (!year_first && part[2].length == 2) year += 2000;
    int first = digits_value(part[year_first ? 1 : 0]), second = digits_value(part[year_first ? 2 : 1]);
    Day day_first, month_first;
    bool is_day_first = !year_first && day_make(year, second, first, &day_first);
    bool is_month_first = day_make(year, first, second, &month_first);
    char one[DAY_TEXT], other[DAY_TEXT];
    if (is_day_first) one[day_write(one, day_first)] = '\0';
    if (is_month_first) other[day_write(other, month_first)] = '\0';
    if (is_day_first && is_month_first && day_first != month_first)
        return arena_print(arena, "\"%s\" can be read as %s or %s: write the month as a word", shown, one,
                           other);
    if (is_day_first || is_month_first)
        return arena_print(arena, "a date is written with the month as a word: %s instead of \"%s\"",
                           is_day_first ? one : other, shown);
    return arena_print(arena, "\"%s\" is neither a number nor a date: a date is written 18 Jun 2027", shown);
}

static const char *comma_number(Arena *arena, Slice text)
{
    const char *shown = fault_shown(arena, text);
    const char *comma = memchr(text.at, ',', text.length);
    Slice before = {text.at, (size_t)(comma - text.at)};
    Slice after = {comma + 1, text.length - before.length - 1};
    if (memchr(after.at, ',', after.length) || memchr(after.at, '.', after.length) || text.length > 24) {
        char *joined = arena_copy(arena, text.at, text.length);
        size_t length = 0;
        for (size_t i = 0; i < text.length; i++)
            if (text.at[i] != ',') joined[length++] = text.at[i];
        return arena_print(
            arena,
            "\"%s\" can be read as %s or as a list: write figures without commas, and a blank behind "
            "the comma of a list",
            shown, fault_shown(arena, (Slice){joined, length}));
    }
    if (after.length == 3)
        return arena_print(arena,
                           "\"%s\" can be read as %.*s%.*s or %.*s.%.*s: write figures without a comma",
                           shown, SLICE_ARG(before), SLICE_ARG(after), SLICE_ARG(before), SLICE_ARG(after));
    return arena_print(
        arena, "\"%s\" can be read as %.*s.%.*s or a list of %.*s and %.*s: write %.*s.%.*s or %.*s, %.*s",
        shown, SLICE_ARG(before), SLICE_ARG(after), SLICE_ARG(before), SLICE_ARG(after), SLICE_ARG(before),
        SLICE_ARG(after), SLICE_ARG(before), SLICE_ARG(after));
}

static const char *exponent(Arena *arena, Slice text)
{
    return arena_print(
        arena,
        "\"%s\" can be read as a power of ten or as a number and a name: write the figures out, as in "
        "100000",
        fault_shown(arena, text));
}

static const char *grouped(Arena *arena, Slice text)
{
    char *joined = arena_copy(arena, text.at, text.length);
    size_t length = 0;
    for (size_t i = 0; i < text.length; i++)
        if (text.at[i] != ' ' && text.at[i] != '\t') joined[length++] = text.at[i];
    const char *blank = memchr(text.at, ' ', text.length);
    if (!blank) blank = memchr(text.at, '\t', text.length);
    if (!blank) return unknown(arena, text);
    Slice before = {text.at, (size_t)(blank - text.at)}, after = {blank + 1, text.length - before.length - 1};
    const char *whole = fault_shown(arena, (Slice){joined, length});
    return arena_print(
        arena,
        "\"%s\" can be read as %s or as the numbers %s and %s: write %s, or two blanks between "
        "two numbers",
        fault_shown(arena, text), whole, fault_shown(arena, before), fault_shown(arena, after), whole);
}

static const char *dash_range(Arena *arena, Slice text)
{
    const char *dash = memchr(text.at, '-', text.length);
    size_t before = (size_t)(dash - text.at), after = before + 1;
    while (before > 0 && (text.at[before - 1] == ' ' || text.at[before - 1] == '\t')) before--;
    while (after < text.length && (text.at[after] == ' ' || text.at[after] == '\t')) after++;
    if (before == 0 || after == text.length)
        return "a range is written with two points, as in 5 .. 8; a minus touches its number";
    return arena_print(arena, "a range is written with two points: %s .. %s",
                       fault_shown(arena, (Slice){text.at, before}),
                       fault_shown(arena, (Slice){text.at + after, text.length - after}));
}

/* ------------------------------------------------------------------ signs */

static const char *dash(Arena *arena, const Text *text, Token token)
{
    const char *sign =
        fault_shown(arena, (Slice){text->bytes + token.extent.begin, token.extent.end - token.extent.begin});
    return arena_print(arena, "\"%s\" is no sign of the language: a range is written 5 .. 8, a minus -8",
                       sign);
}

static const struct {
    const char *sign, *instead;
} signs[] = {
    {"...", "a range is written with two points: 5 .. 8"},
    {"…", "a range is written with two points: 5 .. 8"},
    {"==", "equal is written ="},
    {"!=", "not equal is written <>"},
    {"≠", "not equal is written <>"},
    {"=<", "at most is written <= in a condition, at most elsewhere"},
    {"≤", "at most is written <= in a condition, at most elsewhere"},
    {"=>", "at least is written >= in a condition, at least elsewhere"},
    {"≥", "at least is written >= in a condition, at least elsewhere"},
    {"&&", "write and"},
    {"&", "write and"},
    {"||", "write or"},
    {"|", "write or"},
    {"!", "write not"},
    {"×", "write x between two sizes, * in a condition"},
    {"~", "write about, or a range"},
    {"≈", "write about, or a range"},
    {"//", "a comment begins with #"},
    {"/*", "a comment begins with # and ends with its line"},
    {"*/", "a comment begins with # and ends with its line"},
};

static const char *sign(Arena *arena, Slice text)
{
    for (size_t i = 0; i < sizeof signs / sizeof signs[0]; i++)
        if (slice_is(text, signs[i].sign))
            return arena_print(arena, "\"%s\" is no sign of the language: %s", signs[i].sign,
                               signs[i].instead);
    return unknown(arena, text);
}

static const struct {
    const char *sign, *instead;
} fractions[] = {
    {"½", "1/2"}, {"¼", "1/4"}, {"¾", "3/4"}, {"⅓", "1/3"}, {"⅔", "2/3"},
    {"⅛", "1/8"}, {"⅜", "3/8"}, {"⅝", "5/8"}, {"⅞", "7/8"},
};

static const char *fraction(Arena *arena, Slice text)
{
    size_t whole = 0;
    while (whole < text.length && text.at[whole] >= '0' && text.at[whole] <= '9') whole++;
    Slice mark = {text.at + whole, text.length - whole};
    for (size_t i = 0; i < sizeof fractions / sizeof fractions[0]; i++)
        if (slice_is(mark, fractions[i].sign))
            return arena_print(arena, "a fraction is written with a stroke: %s%s%s",
                               fault_shown(arena, (Slice){text.at, whole}), whole ? " " : "",
                               fractions[i].instead);
    return "a fraction is written with a stroke: 1/2";
}

static const char *degree(Arena *arena, Slice text)
{
    char letter = text.at[text.length - 1];
    if (letter == 'C' || letter == 'F')
        return arena_print(arena, "degrees are written without the ring: %c", letter);
    return "degrees are written C or F for warmth, deg for angles";
}

static const char *open_text(Arena *arena, const Text *text, Token token)
{
    (void)arena;
    uint32_t begin = token.extent.begin;
    if (begin > 0 && text->bytes[begin - 1] >= '0' && text->bytes[begin - 1] <= '9')
        return "this quotation mark has no partner on its line; an inch is written in, as in 3 in";
    return "this text has no closing quotation mark on its line";
}

/* ------------------------------------------------------------------ words and days */

static const char *no_such_day(Arena *arena, Slice text)
{
    return arena_print(arena, "there is no day %s", fault_shown(arena, text));
}

static const char *month_case(Arena *arena, Slice text)
{
    char *copy = arena_copy(arena, text.at, text.length);
    if (strstr(copy, "ept") && !strstr(copy, "eptember")) return "September is written Sep";
    bool first = true;
    for (char *at = copy; *at; at++) {
        bool lower = *at >= 'a' && *at <= 'z', upper = *at >= 'A' && *at <= 'Z';
        if (!lower && !upper) continue;
        if (first ? lower : upper) *at = (char)(*at ^ 0x20);
        first = false;
    }
    return arena_print(arena, "a month is written with one capital: %s", fault_shown(arena, slice_of(copy)));
}

static const char *hash_number(Arena *arena, Slice text)
{
    const char *hash = memchr(text.at, '#', text.length);
    size_t word = (size_t)(hash - text.at);
    return arena_print(
        arena,
        "a # begins a comment: which time is meant stands behind a blank, as in %.*s %.*s, and a comment too",
        (int)word, text.at, (int)(text.length - word - 1), hash + 1);
}

static Slice next_piece(Slice text, size_t *at)
{
    while (*at < text.length && (text.at[*at] == ' ' || text.at[*at] == '\t' || text.at[*at] == ',')) ++*at;
    size_t begin = *at;
    while (*at < text.length && text.at[*at] != ' ' && text.at[*at] != '\t' && text.at[*at] != ',') ++*at;
    return (Slice){text.at + begin, *at - begin};
}

static const char *month_first(Arena *arena, Slice text)
{
    size_t at = 0;
    Slice month = next_piece(text, &at), day = next_piece(text, &at), year = next_piece(text, &at);
    return arena_print(arena, "the day stands before the month: %.*s %.*s %.*s", SLICE_ARG(day),
                       SLICE_ARG(month), SLICE_ARG(year));
}

static const char *escape(Arena *arena, Slice text)
{
    return arena_print(arena, "\"%s\" has no meaning in a text: there are \\\" \\\\ and \\n",
                       fault_shown(arena, text));
}

/* ------------------------------------------------------------------ the table */

typedef const char *OfSlice(Arena *arena, Slice text);
typedef const char *OfToken(Arena *arena, const Text *text, Token token);

static const struct {
    const char *said;
    OfSlice *of_slice;
    OfToken *of_token;
} sentences[FAULTS] = {
    [FAULT_UNKNOWN] = {.of_slice = unknown},
    [FAULT_NUMERIC_DATE] = {.of_slice = numeric_date},
    [FAULT_COMMA_NUMBER] = {.of_slice = comma_number},
    [FAULT_EXPONENT] = {.of_slice = exponent},
    [FAULT_CURLY_QUOTES] = {.said = "a text stands between straight quotation marks: \"like this\""},
    [FAULT_SINGLE_QUOTES] = {.said = "a text stands between double quotation marks: \"like this\""},
    [FAULT_DASH] = {.of_token = dash},
    [FAULT_NO_BREAK] = {.said = "this is a special blank, such as a no-break space: write an ordinary blank"},
    [FAULT_FRACTION] = {.of_slice = fraction},
    [FAULT_DEGREE] = {.of_slice = degree},
    [FAULT_SIGN] = {.of_slice = sign},
    [FAULT_OPEN_TEXT] = {.of_token = open_text},
    [FAULT_ESCAPE] = {.of_slice = escape},
    [FAULT_TEXT_LENGTH] = {.said = "this text is longer than 65536 bytes"},
    [FAULT_WORD_LENGTH] = {.said = "this word is longer than 255 bytes"},
    [FAULT_NUMBER_SIZE] = {.said = "this number has too many figures to be worked with exactly"},
    [FAULT_ZERO_BELOW] = {.said = "nothing can be divided by nothing: a zero stands below the stroke"},
    [FAULT_GROUPED] = {.of_slice = grouped},
    [FAULT_NO_SUCH_DAY] = {.of_slice = no_such_day},
    [FAULT_YEAR] = {.said = "dates go from 1900 to 2199"},
    [FAULT_MONTH_CASE] = {.of_slice = month_case},
    [FAULT_MONTH_FIRST] = {.of_slice = month_first},
    [FAULT_HASH_NUMBER] = {.of_slice = hash_number},
    [FAULT_DASH_RANGE] = {.of_slice = dash_range},
    [FAULT_PERCENT] = {.said = "a % stands behind a number"},
    [FAULT_MISSING_END] = {.said = "a clause begins on a line of its own, or behind a ;"},
    [FAULT_CLOSE_BRACE] = {.said = "a } too many: no block is open here"},
    [FAULT_BLOCK_DEPTH] = {.said = "blocks stand more than 64 deep in each other"},
    [FAULT_BRACKET_DEPTH] = {.said = "brackets stand more than 64 deep in each other"},
};

_Static_assert(TREE_TEXT_LENGTH == 65536 && TREE_NAME_LENGTH == 255 && TREE_BLOCK_DEPTH == 64 &&
                   TREE_BRACKET_DEPTH == 64,
               "the sentences above name these limits");

const char *fault_sentence(Arena *arena, const Text *text, Token token)
{
    Slice slice = {text->bytes + token.extent.begin, token.extent.end - token.extent.begin};
    if (sentences[token.fault].of_slice) return sentences[token.fault].of_slice(arena, slice);
    if (sentences[token.fault].of_token) return sentences[token.fault].of_token(arena, text, token);
    return sentences[token.fault].said;
}
