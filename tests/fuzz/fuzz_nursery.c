/* Reads any bytes as a whole nursery, beside the rules that ship: inheritance, rules with their examples,
 * every check, and all dated work. Nothing may crash, hang or leak, whatever the bytes. */
#include "analysis/expand.h"
#include "analysis/lint.h"
#include "syntax/read.h"

#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length);

static void exhausted(size_t wanted)
{
    (void)wanted;
    abort();
}

static bool enough(void *to, const WorkTask *task)
{
    size_t *count = to;
    return task->date && ++*count < 10000;
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length)
{
    if (length > 1 << 16) return 0;
    Arena *arena = arena_new(exhausted);
    Notes *notes = notes_new(arena, 100);
    Nursery *nursery = nursery_new(arena, notes);
    Text *text = text_new(arena, "fuzz.heel", arena_copy(arena, bytes, length), (uint32_t)length, 1);
    nursery_add(nursery, syntax_read(arena, text, notes), false);
    nursery_finish(nursery);
    Day today;
    day_make(2027, 6, 14, &today);
    Lint *lint = lint_new(nursery, today, exhausted);
    lint_protocols(lint);
    const Plan *plan = plan_of_blocks(nursery);
    lint_plan(lint, plan);
    lint_finish(lint);
    lint_free(lint);
    WorkFilter filter = {.from = DAY_NONE, .to = DAY_NONE, .today = today};
    size_t count = 0;
    Expansion *expansion = expansion_new(nursery, &filter, enough, &count, exhausted);
    expansion_plan(expansion, plan);
    expansion_free(expansion);
    arena_free(arena);
    return 0;
}
