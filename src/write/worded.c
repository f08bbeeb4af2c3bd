/* Looking texts up in compiled catalogues. The bytes are trusted: they are made when the program is built. */
#include "write/worded.h"

#include <string.h>

/* A catalogue's head, and a string's row in its tables: byte offsets of numbers of four bytes. */
enum { HEAD_STRINGS = 8, HEAD_ORIGINALS = 12, HEAD_TRANSLATIONS = 16, ROW = 8, ROW_OFFSET = 4 };

const Catalogue *catalogue_of(Slice language)
{
    for (size_t i = 0; i < catalogue_count; i++)
        if (slice_is(language, catalogues[i].language)) return &catalogues[i];
    return NULL;
}

static uint32_t number_at(const char *bytes)
{
    uint32_t number = 0;
    for (int i = 3; i >= 0; i--) number = number << 8 | (unsigned char)bytes[i];
    return number;
}

/* The n-th string of a table, whose place the head gives. */
static const char *string_at(const Catalogue *catalogue, int head, uint32_t n)
{
    const char *row = catalogue->bytes + number_at(catalogue->bytes + head) + (size_t)n * ROW;
    return catalogue->bytes + number_at(row + ROW_OFFSET);
}

/* Originals stand in the order of their bytes; one with a plural is found by its singular, which ends before
 * the plural. */
static const char *translated(const Catalogue *catalogue, const char *text)
{
    uint32_t low = 0, high = number_at(catalogue->bytes + HEAD_STRINGS);
    while (low < high) {
        uint32_t middle = low + (high - low) / 2;
        int order = strcmp(string_at(catalogue, HEAD_ORIGINALS, middle), text);
        if (order == 0) return string_at(catalogue, HEAD_TRANSLATIONS, middle);
        if (order < 0)
            low = middle + 1;
        else
            high = middle;
    }
    return NULL;
}

const char *worded(const Catalogue *catalogue, const char *text)
{
    const char *other = catalogue ? translated(catalogue, text) : NULL;
    return other ? other : text;
}

const char *worded_count(const Catalogue *catalogue, const char *one, const char *several, uint64_t count)
{
    const char *other = catalogue ? translated(catalogue, one) : NULL;
    if (!other) return count == 1 ? one : several;
    return count == 1 ? other : other + strlen(other) + 1;
}
