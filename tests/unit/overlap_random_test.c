/* analysis/overlap: no claim about rules is false. Small random rules are judged on batches and protocols
 * that state, permit and leave open every combination of a few values, by the same judge that judges plans;
 * what is claimed of the rules must be so on all of them. */
#include "check.h"

#include "analysis/context.h"
#include "analysis/judge.h"
#include "analysis/overlap.h"
#include "base/buffer.h"
#include "syntax/read.h"

enum { ROUNDS = 100, RULES = 48, SUBJECTS = 1024, CLAIMS = 4096 };

static const char *const depths[] = {"",      "5 mm",       "10 mm",      "11 mm",      "20 mm",
                                     "30 mm", "8 .. 12 mm", "5 .. 30 mm", "12 .. 25 mm"},
                         *const lengths[] = {"", "10 mm", "20 mm", "9 .. 21 mm"},
                         *const enclosures[] = {"", "mist", "tent", "bench", "mist, tent", "tent, bench"},
                         *const allowed_depths[] = {"", "5 .. 30 mm", "12 .. 15 mm", "at least 10 mm"},
                         *const allowed_lengths[] = {"", "10 .. 20 mm"},
                         *const allowed_enclosures[] = {"", "mist", "mist, bench", "tent, bench"};

/* ------------------------------------------------------------------ subjects */

static void write_clause(Buffer *out, const char *field, const char *value)
{
    if (*value) buffer_print(out, "%s %s; ", field, value);
}

static size_t write_protocols(Buffer *out)
{
    size_t count = 0;
    for (size_t d = 0; d < CHECK_COUNT(allowed_depths); d++)
        for (size_t l = 0; l < CHECK_COUNT(allowed_lengths); l++)
            for (size_t e = 0; e < CHECK_COUNT(allowed_enclosures); e++) {
                buffer_print(out, "protocol p%zu { for Buxus; take { ", count++);
                write_clause(out, "length", allowed_lengths[l]);
                buffer_text(out, "}; stick { ");
                write_clause(out, "depth", allowed_depths[d]);
                buffer_text(out, "}; climate { ");
                write_clause(out, "enclosure", allowed_enclosures[e]);
                buffer_text(out, "}; stage root { lasts 4 weeks } }\n");
            }
    return count;
}

static void write_batches(Buffer *out, size_t protocols)
{
    size_t count = 0;
    for (size_t d = 0; d < CHECK_COUNT(depths); d++)
        for (size_t l = 0; l < CHECK_COUNT(lengths); l++)
            for (size_t e = 0; e < CHECK_COUNT(enclosures); e++)
                for (int turn = 0; turn < 3; turn++) {
                    buffer_print(out, "batch b%zu { plant Buxus; follow p%zu; ", count,
                                 count * 7 % protocols);
                    write_clause(out, "depth", depths[d]);
                    write_clause(out, "length", lengths[l]);
                    write_clause(out, "enclosure", enclosures[e]);
                    buffer_text(out, "}\n");
                    count++;
                }
}

/* ------------------------------------------------------------------ rules */

static const char *one_of(CheckRandom *random, const char *const *texts, unsigned count)
{
    return texts[check_below(random, count)];
}

static void write_atom(CheckRandom *random, Buffer *out)
{
    static const char *const values[] = {"depth", "depth", "length", "low depth", "high length"},
                             *const signs[] = {"<", "<=", ">", ">=", "=", "<>"},
                             *const words[] = {"mist", "tent"};
    unsigned number = 5 * (1 + check_below(random, 4));
    switch (check_below(random, 8)) {
    case 0: buffer_print(out, "depth is %s", check_below(random, 2) ? "stated" : "unstated"); break;
    case 1:
        buffer_print(out, check_below(random, 2) ? "depth %s length" : "length %s depth",
                     one_of(random, signs, 6));
        break;
    case 2:
        buffer_print(out, "enclosure %s %s", check_below(random, 2) ? "includes" : "lacks", words[0]);
        break;
    case 3:
        buffer_print(out, "%s %s 10 .. %u mm", one_of(random, values, 5),
                     check_below(random, 2) ? "in" : "outside", 10 + number);
        break;
    case 4:
    case 5:
        buffer_print(out, "enclosure is %s%s", check_below(random, 2) ? "not " : "",
                     check_below(random, 3) ? one_of(random, words, 2) : "(mist, tent)");
        break;
    default:
        buffer_print(out, "%s %s %u mm", one_of(random, values, 5), one_of(random, signs, 6), number);
        break;
    }
}

static void write_condition(CheckRandom *random, Buffer *out, int depth)
{
    unsigned kind = depth ? check_below(random, 5) : 0;
    if (kind < 2) {
        write_atom(random, out);
        return;
    }
    buffer_text(out, kind == 2 ? "not (" : "(");
    write_condition(random, out, depth - 1);
    buffer_text(out, check_below(random, 2) ? ") and (" : ") or (");
    write_condition(random, out, depth - 1);
    buffer_char(out, ')');
    if (kind == 2) return;
}

static void write_rule(CheckRandom *random, Buffer *out, size_t number)
{
    static const char *const severities[] = {"note", "warning", "error"};
    buffer_print(out, "rule r%zu on %s {\n", number, check_below(random, 4) ? "batch" : "batch, protocol");
    if (check_below(random, 2)) {
        buffer_text(out, "  where ");
        write_condition(random, out, 1);
        buffer_char(out, '\n');
    }
    buffer_text(out, "  when ");
    write_condition(random, out, 1 + (int)check_below(random, 2));
    buffer_print(out, "\n  %s \"so it is\" [ours]\n%s}\n", severities[check_below(random, 3)],
                 check_below(random, 8) ? "" : "  needs depth\n");
}

/* ------------------------------------------------------------------ what is so */

typedef struct Round {
    Nursery *nursery;
    FactSource source;
    Contexts *contexts;
    Subject subjects[SUBJECTS];
    size_t count;
} Round;

static void make_round(CheckRandom *random, Arena *arena, Round *round)
{
    Buffer *out = buffer_in_memory(arena);
    buffer_text(out, "nursery tried { language 1 }\n");
    write_batches(out, write_protocols(out));
    for (size_t i = 0; i < RULES; i++) write_rule(random, out, i);
    Slice text = buffer_slice_of(out);
    Notes *notes = notes_new(arena, CLAIMS);
    round->nursery = nursery_new(arena, notes);
    nursery_add(round->nursery,
                syntax_read(arena, text_new(arena, "tried", text.at, (uint32_t)text.length, 1), notes),
                false);
    nursery_finish(round->nursery);
    if (notes_total(notes)) fail_msg("%s", notes_sorted(notes, &(size_t){0})[0]->message);
    round->source = (FactSource){round->nursery, arena, arena, NULL, false};
    round->contexts = contexts_new(&round->source);
    const Plan *plan = plan_of_blocks(round->nursery);
    for (size_t row = 0; row < plan->rows; row++) {
        Context *context = contexts_of_row(round->contexts, plan, row);
        round->subjects[round->count++] = (Subject){.scope = SCOPE_BATCH,
                                                    .plan = plan,
                                                    .row = row,
                                                    .context = context,
                                                    .protocol = context->protocol};
    }
    for (size_t i = 0; i < round->nursery->protocol_count; i++) {
        const Protocol *protocol = &round->nursery->protocols[i];
        Subject subject = {.scope = SCOPE_PROTOCOL,
                           .protocol = protocol,
                           .context = contexts_of_protocol(round->contexts, protocol)};
        round->subjects[round->count++] = subject;
        subject.scope = SCOPE_BATCH; /* the one that states nothing */
        round->subjects[round->count++] = subject;
    }
    assert_true(round->count <= SUBJECTS);
}

/* Whether a rule is told of at a subject as broken. */
static bool breaks(Round *round, const Rule *rule, const Subject *subject)
{
    const RuleBody *body = rule->bodies[subject->scope];
    Judging judging = {.source = &round->source};
    bool about;
    Truth truth = body ? judge_rule(&judging, body, subject, &about) : TRUTH_FALSE;
    return truth == TRUTH_TRUE || (truth == TRUTH_UNSURE && fieldset_meets(&rule->needs, &judging.missing));
}

static bool is_kept(Round *round, const Rule *rule, const Subject *subject)
{
    const RuleBody *body = rule->bodies[subject->scope];
    Judging judging = {.source = &round->source};
    return body && judge_condition(&judging, body->when, subject) == TRUTH_FALSE;
}

static const Rule *rule_at(const Round *round, Span place)
{
    for (size_t i = 0; i < round->nursery->rule_count; i++) {
        const Rule *rule = &round->nursery->rules[i];
        if (rule->block->item->span.begin <= place.begin && place.end <= rule->block->item->span.end)
            return rule;
    }
    fail_msg("no rule stands there");
    return NULL;
}

enum { DEAD, ALWAYS, DUPLICATE, SHADOWED, KINDS };
static const char *const kind_name[KINDS] = {"rule-dead", "rule-always", "rule-duplicate", "rule-shadowed"};

/* Of one subject. The two kinds that tell of one rule say of which scope they do. */
static bool is_so_of(Round *round, int kind, const Note *note, const Subject *subject)
{
    const Rule *rule = rule_at(round, note->place[0].span);
    bool broken = breaks(round, rule, subject);
    if (kind < DUPLICATE) {
        bool meant =
            strstr(note->message, arena_print(round->source.passing, ": no %s ", scope_name[subject->scope]));
        return !meant || !(kind == DEAD ? broken : is_kept(round, rule, subject));
    }
    const Rule *other = rule_at(round, note->place[1].span);
    bool other_broken = breaks(round, other, subject);
    return kind == DUPLICATE ? broken == other_broken
                             : rule->severity <= other->severity && (!broken || other_broken);
}

static bool is_so(Round *round, int kind, const Note *note)
{
    for (size_t i = 0; i < round->count; i++)
        if (!is_so_of(round, kind, note, &round->subjects[i])) return false;
    return true;
}

static void no_claim_is_false(void **state)
{
    (void)state;
    CheckRandom random = check_random("rules among themselves");
    size_t claims[KINDS] = {0};
    for (int i = 0; i < ROUNDS; i++) {
        Arena *arena = arena_new(check_exhausted);
        Round *round = ARENA_NEW(arena, Round);
        make_round(&random, arena, round);
        overlap_report(round->nursery, arena);
        size_t count;
        Note *const *notes = notes_sorted(round->nursery->notes, &count);
        for (size_t n = 0; n < count; n++)
            for (int kind = 0; kind < KINDS; kind++) {
                if (strcmp(notes[n]->name, kind_name[kind])) continue;
                claims[kind]++;
                if (!is_so(round, kind, notes[n]))
                    fail_msg(
                        "%s: %s\n%.*s", kind_name[kind], notes[n]->message,
                        SLICE_ARG(span_slice(rule_at(round, notes[n]->place[0].span)->block->item->span)));
            }
        arena_free(arena);
    }
    for (int kind = 0; kind < KINDS; kind++) {
        printf("# %s: %zu\n", kind_name[kind], claims[kind]);
        assert_true(claims[kind] > 0);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(no_claim_is_false)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
