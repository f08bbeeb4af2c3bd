/* What could stand at a place, in words.
 *
 * Given the tokens that the parser would take, names them by groups, so that a grower reads "a comparison"
 * and not six signs. The groups are those of tokens.def; their order here is that of the sentence.
 */
#include "syntax/expect.h"

#include <string.h>

enum { EXPECT_MOST = 6 };

typedef enum Group {
    GROUP_NONE,
    GROUP_CLOSE,
    GROUP_CLOSE_CITED,
    GROUP_TEXT,
    GROUP_CITED,
    GROUP_THING,
    GROUP_RELATION,
    GROUP_OF,
    GROUP_WORD,
    GROUP_NUMBER,
    GROUP_DATE,
    GROUP_UNIT,
    GROUP_COMPARE,
    GROUP_JOIN,
    GROUP_SUM,
    GROUP_PER,
    GROUP_RANGE,
    GROUP_END,
    GROUP_BLOCK,
    GROUP_TRAILER,
    GROUP_COMMA,
    GROUP_CLOSE_BLOCK,
    GROUP_OPEN,
    GROUP_DOT,
    GROUP_STRENGTH,
    GROUP_CONDITION,
    GROUPS
} Group;

static const Group group_of[TOKENS] = {
#define TOKEN(name, group, shown) [TOKEN_##name] = GROUP_##group,
#include "tokens.def"
};

static const char *const group_shown[GROUPS] = {
    [GROUP_CLOSE] = "a )",
    [GROUP_CLOSE_CITED] = "a ]",
    [GROUP_TEXT] = "a text in quotation marks",
    [GROUP_CITED] = "a place in the source",
    [GROUP_THING] = "stage, task or record",
    [GROUP_RELATION] = "before or after",
    [GROUP_OF] = "of",
    [GROUP_WORD] = "a word",
    [GROUP_NUMBER] = "a number",
    [GROUP_DATE] = "a date",
    [GROUP_UNIT] = "a unit",
    [GROUP_COMPARE] = "a comparison",
    [GROUP_JOIN] = "and/or",
    [GROUP_SUM] = "+ - * /",
    [GROUP_PER] = "per",
    [GROUP_RANGE] = "..",
    [GROUP_END] = "the end of the clause",
    [GROUP_BLOCK] = "a {",
    [GROUP_TRAILER] = "because, instead or a [source]",
    [GROUP_COMMA] = "a comma",
    [GROUP_CLOSE_BLOCK] = "a }",
    [GROUP_OPEN] = "a (",
    [GROUP_DOT] = "a point and a field",
    [GROUP_STRENGTH] = "must, prefer or never",
    [GROUP_CONDITION] = "when or where",
};

/* Many words of a condition may also be names: where a name may stand, only the name is told. */
static void leave_out_names(bool wanted[static GROUPS])
{
    static const Group names[] = {GROUP_THING, GROUP_RELATION, GROUP_OF,
                                  GROUP_PER,   GROUP_JOIN,     GROUP_COMPARE};
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) wanted[names[i]] = false;
}

const char *expect_list(Arena *arena, const bool expected[static TOKENS])
{
    bool wanted[GROUPS] = {false};
    for (int kind = 0; kind < TOKENS; kind++)
        if (expected[kind]) wanted[group_of[kind]] = true;
    if (expected[TOKEN_WORD]) leave_out_names(wanted);
    const char *chosen[EXPECT_MOST];
    size_t count = 0;
    for (int group = GROUP_NONE + 1; group < GROUPS && count < EXPECT_MOST; group++)
        if (wanted[group]) chosen[count++] = group_shown[group];
    const char *list = count > 0 ? chosen[0] : "nothing more";
    for (size_t i = 1; i < count; i++)
        list = arena_print(arena, "%s%s%s", list, i + 1 < count ? ", " : " or ", chosen[i]);
    return list;
}
