/* The page that a sheet for people is written on. Private to src/write. */
#ifndef WRITE_SHEET_PAGE_H
#define WRITE_SHEET_PAGE_H

#include "write/tongue.h"

typedef struct SheetPage {
    Arena *arena;
    Buffer *out;
    Tongue tongue;
} SheetPage;

/* Text broken between words, every line behind `indent` blanks, the first behind `lead`. */
void page_wrapped(const SheetPage *page, size_t indent, const char *lead, Slice text);
void page_underlined(const SheetPage *page, const char *text, size_t indent, char line);
/* Cautions of a block; they are told in both languages, whichever leads. */
void page_cautions(const SheetPage *page, const Block *block, size_t indent);
/* What a block says to do. */
void page_say(const SheetPage *page, const Block *block, size_t indent);
/* A text that is told in one language: that which leads, else the nursery's own. `lead` is the program's. */
void page_alone(const SheetPage *page, const char *lead, Slice own);

#endif
