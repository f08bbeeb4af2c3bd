/* How wide a text stands on a terminal.
 *
 * Given bytes of UTF-8, counts the columns they take when they are written, so that marks can stand below
 * them and lines can be broken. Widths are those of Unicode's data, from grammar/columns.def; what would
 * steer the terminal is counted as the escape that is written for it.
 */
#include "base/columns.h"

#include "base/text.h"

static const struct {
    uint32_t first, last;
    uint8_t columns;
} table[] = {
#define COLUMNS(first, last, columns) {first, last, columns},
#include "columns.def"
#undef COLUMNS
};

size_t character_columns(uint32_t code)
{
    size_t low = 0, high = sizeof table / sizeof *table;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (code > table[middle].last)
            low = middle + 1;
        else
            high = middle;
    }
    bool found = low < sizeof table / sizeof *table && code >= table[low].first;
    return found ? table[low].columns : 1;
}

size_t text_columns(Slice text)
{
    size_t columns = 0;
    for (size_t i = 0, size; i < text.length; i += size) {
        uint32_t code = 0;
        size = text_character(text.at + i, text.length - i, &code);
        bool plain = size && (!text_steers(code) || code == '\t');
        if (size == 0) size = 1;
        columns += plain ? character_columns(code) : text_escape(NULL, 0, (Slice){text.at + i, size});
    }
    return columns;
}
