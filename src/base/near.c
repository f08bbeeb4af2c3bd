/* The nearest known word.
 *
 * Given a typed word and candidates one by one, keeps the nearest, the first of equals. The distance is that
 * of optimal string alignment: the usual table of edits, three rows of it at a time, counted in bytes,
 * capital and small letters taken for one. Which words are candidates is the caller's choice.
 */
#include "base/near.h"

#include <limits.h>

enum { NEAR_LONGEST = 64, NEAR_MOST = 3, NEAR_WORDS = 128 };

static unsigned least(unsigned a, unsigned b)
{
    return a < b ? a : b;
}

static bool same_letter(char a, char b)
{
    bool letter = (a >= 'a' && a <= 'z') || (a >= 'A' && a <= 'Z');
    return a == b || (letter && (a ^ b) == ('a' ^ 'A'));
}

unsigned near_distance(Slice a, Slice b)
{
    if (a.length > NEAR_LONGEST || b.length > NEAR_LONGEST) return UINT_MAX;
    unsigned rows[3][NEAR_LONGEST + 1];
    unsigned *before = rows[0], *last = rows[1], *row = rows[2];
    for (unsigned j = 0; j <= b.length; j++) last[j] = j;
    for (unsigned i = 1; i <= a.length; i++) {
        row[0] = i;
        for (unsigned j = 1; j <= b.length; j++) {
            unsigned replaced = last[j - 1] + !same_letter(a.at[i - 1], b.at[j - 1]);
            row[j] = least(replaced, least(last[j], row[j - 1]) + 1);
            bool swapped = i > 1 && j > 1 && same_letter(a.at[i - 1], b.at[j - 2]) &&
                           same_letter(a.at[i - 2], b.at[j - 1]);
            if (swapped) row[j] = least(row[j], before[j - 2] + 1);
        }
        unsigned *oldest = before;
        before = last;
        last = row;
        row = oldest;
    }
    return last[b.length];
}

/* The words of a text, parted by blanks; gives how many. */
static size_t part_words(Slice text, Slice words[static NEAR_WORDS])
{
    size_t count = 0;
    for (size_t at = 0; at < text.length && count < NEAR_WORDS;) {
        size_t end = at;
        while (end < text.length && text.at[end] != ' ' && text.at[end] != '\n') end++;
        if (end > at) words[count++] = (Slice){text.at + at, end - at};
        at = end + 1;
    }
    return count;
}

size_t near_words(Slice a, Slice b, size_t *longer)
{
    Slice of_a[NEAR_WORDS], of_b[NEAR_WORDS];
    size_t count_a = part_words(a, of_a), count_b = part_words(b, of_b);
    size_t row[NEAR_WORDS + 1] = {
        0}; /* the longest common run of words, of a so far and each beginning of b */
    for (size_t i = 0; i < count_a; i++) {
        size_t aslant = 0;
        for (size_t k = 0; k < count_b; k++) {
            size_t above = row[k + 1];
            if (slice_equal(of_a[i], of_b[k]))
                row[k + 1] = aslant + 1;
            else if (row[k] > above)
                row[k + 1] = row[k];
            aslant = above;
        }
    }
    *longer = count_a > count_b ? count_a : count_b;
    return row[count_b];
}

/* How many edits still look like a slip: a third of the letters. */
static unsigned tolerance(Slice typed)
{
    size_t third = typed.length / 3;
    return third < 1 ? 1 : third > NEAR_MOST ? NEAR_MOST : (unsigned)third;
}

void nearest_start(Nearest *nearest, Slice typed)
{
    *nearest = (Nearest){.typed = typed, .best = {"", 0}, .distance = tolerance(typed) + 1};
}

void nearest_try(Nearest *nearest, Slice candidate)
{
    size_t a = nearest->typed.length, b = candidate.length;
    size_t least_edits = a > b ? a - b : b - a;
    if (b == 0 || least_edits > nearest->distance) return;
    unsigned distance = near_distance(nearest->typed, candidate);
    if (distance == nearest->distance && nearest_found(nearest) && !slice_equal(candidate, nearest->best))
        nearest->tied = true;
    if (distance >= nearest->distance) return;
    nearest->best = candidate;
    nearest->distance = distance;
    nearest->tied = false;
}
