/* Lines of a sheet for people: texts broken between words, in one language or in two.
 *
 * What stands first and what is marked hangs on the language alone (write/tongue.h); which texts are told,
 * and where, is the sheet's matter.
 */
#include "write/sheet_page.h"

#include "base/columns.h"
#include "write/sheet_part.h"

#include <string.h>

enum { SHEET_WIDTH = 78 };

void page_wrapped(const SheetPage *page, size_t indent, const char *lead, Slice text)
{
    Buffer *out = page->out;
    size_t column = indent + strlen(lead);
    buffer_spaces(out, indent);
    buffer_text(out, lead);
    for (size_t at = 0; at < text.length;) {
        size_t end = at;
        while (end < text.length && text.at[end] != ' ' && text.at[end] != '\n') end++;
        size_t length = text_columns((Slice){text.at + at, end - at});
        bool first = column == indent + strlen(lead);
        if (!first && column + 1 + length > SHEET_WIDTH) {
            buffer_char(out, '\n');
            buffer_spaces(out, indent + strlen(lead));
            column = indent + strlen(lead);
            first = true;
        }
        if (!first) buffer_char(out, ' ');
        buffer_escaped(out, (Slice){text.at + at, end - at});
        column += length + !first;
        at = end;
        while (at < text.length && (text.at[at] == ' ' || text.at[at] == '\n')) at++;
    }
    buffer_char(out, '\n');
}

/* The place of a text that the second language lacks: nobody is to think that there is nothing to read. */
static void write_untranslated(const SheetPage *page, size_t indent, const char *lead)
{
    buffer_spaces(page->out, indent);
    buffer_text(page->out, lead);
    write_missing(page->out, &page->tongue);
    buffer_char(page->out, '\n');
}

/* Both languages of a text, the one that the sheet is in first. */
static void write_both(const SheetPage *page, size_t indent, const char *lead, Slice own, Slice other)
{
    const Tongue *tongue = &page->tongue;
    if (own.length && !tongue->leads) page_wrapped(page, indent, lead, own);
    if (other.length)
        page_wrapped(page, indent, lead, other);
    else if (tongue->language.length)
        write_untranslated(page, indent, lead);
    if (own.length && tongue->leads) page_wrapped(page, indent, lead, own);
}

/* Cautions are told in both languages whichever leads. The n-th of the one and the n-th of the other belong
 * together; where one of them has fewer, what the other tells is told all the same. */
void page_cautions(const SheetPage *page, const Block *block, size_t indent)
{
    Slice own, other;
    for (size_t n = 0; caution_pair(block, &page->tongue, n, &own, &other); n++)
        write_both(page, indent, "! ", own, other);
}

/* In a language that leads a text stands alone; where it lacks, the nursery's own is marked. */
static void write_text(const SheetPage *page, size_t indent, const char *lead, Slice own, Slice other)
{
    if (page->tongue.leads && other.length)
        page_wrapped(page, indent, lead, other);
    else if (own.length || other.length)
        write_both(page, indent, lead, own, other);
}

void page_say(const SheetPage *page, const Block *block, size_t indent)
{
    Slice own = block_say(page->arena, block, (Slice){0}), other = say_in(page->arena, block, &page->tongue);
    if (say_in_is_whole(block, &page->tongue))
        write_text(page, indent, "", own, other);
    else
        write_both(page, indent, "", own, other);
}

void page_alone(const SheetPage *page, const char *lead, Slice own)
{
    if (page->tongue.leads)
        write_text(page, 4, worded(page->tongue.catalogue, lead), own, tongue_text(&page->tongue, own));
    else
        page_wrapped(page, 4, lead, own);
}

void page_underlined(const SheetPage *page, const char *text, size_t indent, char line)
{
    Buffer *out = page->out;
    buffer_spaces(out, indent);
    buffer_escaped(out, slice_of(text));
    buffer_char(out, '\n');
    buffer_spaces(out, indent);
    for (size_t i = text_columns(slice_of(text)); i > 0; i--) buffer_char(out, line);
    buffer_char(out, '\n');
}
