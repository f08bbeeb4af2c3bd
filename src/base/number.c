/* Exact fractions.
 *
 * Given fractions in lowest terms, makes their sums, products, orders and texts, or refuses. Common factors
 * are taken out before multiplying, so that every division is of 64 bits and only products need 128. The
 * lowest 64-bit integer is never made: each number has its negative. Signs, units and what a person may have
 * meant are left to the readers.
 */
#include "base/number.h"

#include "base/digits.h"

#include <string.h>

__extension__ typedef __int128 wide;

static uint64_t magnitude(int64_t n)
{
    return n < 0 ? 0 - (uint64_t)n : (uint64_t)n;
}

static uint64_t common_factor(uint64_t a, uint64_t b)
{
    while (b) {
        uint64_t rest = a % b;
        a = b;
        b = rest;
    }
    return a;
}

/* A fraction already in lowest terms, if both parts fit. */
static bool settle(wide num, wide den, Number *out)
{
    if (num > INT64_MAX || num < -INT64_MAX || den > INT64_MAX) return false;
    *out = (Number){(int64_t)num, (int64_t)den};
    return true;
}

bool number_make(int64_t num, int64_t den, Number *out)
{
    if (den == 0) return false;
    uint64_t factor = common_factor(magnitude(num), magnitude(den));
    wide top = (wide)num / (wide)factor, below = (wide)den / (wide)factor;
    return below < 0 ? settle(-top, -below, out) : settle(top, below, out);
}

bool number_add(Number a, Number b, Number *out)
{
    if (a.den == 1 && b.den == 1) return settle((wide)a.num + b.num, 1, out);
    int64_t shared = (int64_t)common_factor((uint64_t)a.den, (uint64_t)b.den);
    wide num = (wide)a.num * (b.den / shared) + (wide)b.num * (a.den / shared);
    /* What the sum can still cancel divides the shared factor: any other prime divides just one of the two
     * terms. */
    int64_t rest = (int64_t)(num % shared);
    int64_t factor = (int64_t)common_factor(magnitude(rest), (uint64_t)shared);
    return settle(num / factor, (wide)(a.den / shared) * (b.den / factor), out);
}

bool number_subtract(Number a, Number b, Number *out)
{
    return number_add(a, number_negate(b), out);
}

bool number_multiply(Number a, Number b, Number *out)
{
    if (a.den == 1 && b.den == 1) return settle((wide)a.num * b.num, 1, out);
    int64_t first = (int64_t)common_factor(magnitude(a.num), (uint64_t)b.den);
    int64_t second = (int64_t)common_factor(magnitude(b.num), (uint64_t)a.den);
    return settle((wide)(a.num / first) * (b.num / second), (wide)(a.den / second) * (b.den / first), out);
}

bool number_divide(Number a, Number b, Number *out)
{
    if (b.num == 0) return false;
    Number turned = b.num < 0 ? (Number){-b.den, -b.num} : (Number){b.den, b.num};
    return number_multiply(a, turned, out);
}

int number_compare(Number a, Number b)
{
    if (a.den == b.den) return (a.num > b.num) - (a.num < b.num);
    wide left = (wide)a.num * b.den, right = (wide)b.num * a.den;
    return (left > right) - (left < right);
}

Number number_negate(Number a)
{
    return (Number){-a.num, a.den};
}

int64_t number_floor(Number a)
{
    return a.num / a.den - (a.num % a.den < 0);
}

int64_t number_ceil(Number a)
{
    return a.num / a.den + (a.num % a.den > 0);
}

double number_double(Number a)
{
    return (double)a.num / (double)a.den;
}

/* ------------------------------------------------------------------ reading */

enum { DIGITS_MOST = 40 };

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static bool is_blank(char c)
{
    return c == ' ' || c == '\t';
}

/* Takes a run of digits off the front of the text; gives an empty slice when there is none. */
static Slice take_digits(Slice *text)
{
    Slice run = {text->at, 0};
    while (run.length < text->length && is_digit(text->at[run.length])) run.length++;
    text->at += run.length;
    text->length -= run.length;
    return run;
}

static bool take_char(Slice *text, char c)
{
    if (text->length == 0 || *text->at != c) return false;
    text->at++;
    text->length--;
    return true;
}

/* Adds the digits to the right of what `value` holds already. */
static bool digits_value(Slice digits, int64_t *value)
{
    for (size_t i = 0; i < digits.length; i++) {
        int64_t digit = digits.at[i] - '0';
        if (*value > (INT64_MAX - digit) / 10) return false;
        *value = *value * 10 + digit;
    }
    return true;
}

/* whole.decimals: the digits as one integer over a power of ten. Tens are cancelled while reading, so only
 * numbers that do not fit in lowest terms, or nearly so, are refused. */
static bool read_decimal(Slice whole, Slice decimals, Number *out)
{
    while (decimals.length && decimals.at[decimals.length - 1] == '0') decimals.length--;
    static const wide limit = (wide)INT64_MAX * INT64_MAX;
    wide num = 0;
    const Slice part[] = {whole, decimals};
    for (size_t p = 0; p < 2; p++) {
        for (size_t i = 0; i < part[p].length; i++) {
            if (num > (limit - 9) / 10) return false;
            num = num * 10 + (part[p].at[i] - '0');
        }
    }
    wide den = 1;
    for (int prime = 2; prime <= 5; prime += 3) {
        size_t left = decimals.length;
        for (; left && num % prime == 0; left--) num /= prime;
        for (; left; left--) {
            den *= prime;
            if (den > INT64_MAX) return false;
        }
    }
    return settle(num, den, out);
}

static bool read_fraction(Slice whole, Slice num, Slice den, Number *out)
{
    int64_t parts[3] = {0, 0, 0};
    if (!digits_value(whole, &parts[0]) || !digits_value(num, &parts[1]) || !digits_value(den, &parts[2]))
        return false;
    Number fraction;
    return number_make(parts[1], parts[2], &fraction) && number_add(NUMBER(parts[0]), fraction, out);
}

bool number_read(Slice text, Number *out)
{
    Slice whole = take_digits(&text), none = {text.at, 0};
    if (whole.length == 0 || whole.length > DIGITS_MOST) return false;
    if (text.length == 0) {
        int64_t value = 0;
        if (!digits_value(whole, &value)) return false;
        *out = NUMBER(value);
        return true;
    }
    if (take_char(&text, '.')) {
        Slice decimals = take_digits(&text);
        if (decimals.length == 0 || text.length || whole.length + decimals.length > DIGITS_MOST) return false;
        return read_decimal(whole, decimals, out);
    }
    Slice num = none;
    if (is_blank(*text.at)) {
        while (text.length && is_blank(*text.at)) text.at++, text.length--;
        num = take_digits(&text);
    } else {
        num = whole;
        whole = none;
    }
    if (num.length == 0 || !take_char(&text, '/')) return false;
    Slice den = take_digits(&text);
    if (den.length == 0 || text.length || whole.length + num.length + den.length > DIGITS_MOST) return false;
    return read_fraction(whole, num, den, out);
}

/* ------------------------------------------------------------------ writing */

enum { NUMBER_TEXT = 64, PLACES_MOST = 18, PLACES_ENDING = 6 };

static const int64_t power_of_ten[PLACES_MOST + 1] = {
    INT64_C(1),
    INT64_C(10),
    INT64_C(100),
    INT64_C(1000),
    INT64_C(10000),
    INT64_C(100000),
    INT64_C(1000000),
    INT64_C(10000000),
    INT64_C(100000000),
    INT64_C(1000000000),
    INT64_C(10000000000),
    INT64_C(100000000000),
    INT64_C(1000000000000),
    INT64_C(10000000000000),
    INT64_C(100000000000000),
    INT64_C(1000000000000000),
    INT64_C(10000000000000000),
    INT64_C(100000000000000000),
    INT64_C(1000000000000000000),
};

static size_t hand_out(char *to, size_t room, const char *text, size_t length)
{
    if (room == 0) return length;
    size_t kept = length < room ? length : room - 1;
    memcpy(to, text, kept);
    to[kept] = '\0';
    return length;
}

/* scaled / 10^places, without trailing zeros; `to` has room for any. */
static size_t write_decimal(char *to, bool negative, wide scaled, int places)
{
    size_t length = 0;
    if (negative && scaled) to[length++] = '-';
    length += digits_write(to + length, (uint64_t)(scaled / power_of_ten[places]));
    int64_t rest = (int64_t)(scaled % power_of_ten[places]);
    if (rest == 0) return length;
    char digits[DIGITS_ROOM];
    size_t count = digits_write(digits, (uint64_t)rest);
    to[length++] = '.';
    for (size_t lead = (size_t)places - count; lead; lead--) to[length++] = '0';
    while (digits[count - 1] == '0') count--;
    memcpy(to + length, digits, count);
    return length + count;
}

size_t number_write(char *to, size_t room, Number a)
{
    char text[NUMBER_TEXT];
    uint64_t top = magnitude(a.num), below = (uint64_t)a.den;
    int64_t scale = power_of_ten[PLACES_ENDING];
    if (scale % a.den == 0) {
        size_t length = write_decimal(text, a.num < 0, (wide)top * (scale / a.den), PLACES_ENDING);
        return hand_out(to, room, text, length);
    }
    size_t length = 0;
    if (a.num < 0) text[length++] = '-';
    if (top > below) {
        length += digits_write(text + length, top / below);
        text[length++] = ' ';
    }
    length += digits_write(text + length, top % below);
    text[length++] = '/';
    length += digits_write(text + length, below);
    return hand_out(to, room, text, length);
}

size_t number_write_rounded(char *to, size_t room, Number a, int places)
{
    char text[NUMBER_TEXT];
    places = places < 0 ? 0 : places > PLACES_MOST ? PLACES_MOST : places;
    wide scaled = (wide)magnitude(a.num) * power_of_ten[places];
    wide rest = scaled % a.den;
    scaled = scaled / a.den + (rest >= a.den - rest); /* half away from zero */
    return hand_out(to, room, text, write_decimal(text, a.num < 0, scaled, places));
}
