/* Trying a text: a nursery that is made for it, checked whole, and forgotten. */
#include "analysis/tryout.h"

#include "analysis/lint.h"
#include "syntax/read.h"

#include <string.h>

enum { TRYOUT_NOTES = 10 };

Notes *tryout(Arena *arena, const char *text, ArenaExhausted *exhausted)
{
    Notes *notes = notes_new(arena, TRYOUT_NOTES);
    Nursery *nursery = nursery_new(arena, notes);
    nursery_add(nursery,
                syntax_read(arena, text_new(arena, "example.heel", text, (uint32_t)strlen(text), 1), notes),
                false);
    nursery_finish(nursery);
    Lint *lint = lint_new(nursery, DAY_NONE, exhausted);
    lint_protocols(lint);
    lint_plan(lint, plan_of_blocks(nursery));
    lint_finish(lint);
    lint_free(lint);
    return notes;
}
