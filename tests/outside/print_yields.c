/* Answers questions about yields as analysis/yield sees them, for yield_exact.py: one question a line of
 * standard input, one answer a line. A question is a verb, its numbers, a colon and the stages: `range FROM
 * TO` (losses in hundredths of a percent), `beta ALPHA BETA` or `fixed SHARE`. */
#include "analysis/yield.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { STAGES_MOST = 8, NUMBERS_MOST = 4, LINE_MOST = 1000 };

typedef struct Question {
    double numbers[NUMBERS_MOST];
    Survival stages[STAGES_MOST];
    size_t count;
} Question;

static double next_number(void)
{
    const char *word = strtok(NULL, " \n");
    if (!word) exit(2);
    return strtod(word, NULL);
}

static Survival next_stage(const char *kind)
{
    Survival stage = {0};
    double first = next_number();
    if (strcmp(kind, "fixed") == 0) return (Survival){.fixed = true, .mean = first};
    double second = next_number();
    if (strcmp(kind, "beta") == 0)
        return (Survival){.mean = first / (first + second), .alpha = first, .beta = second};
    Number from, to;
    if (!number_make((int64_t)first, 10000, &from) || !number_make((int64_t)second, 10000, &to) ||
        survival_of_losses(interval_closed(from, to), &stage) == SURVIVAL_REFUSED)
        exit(2);
    return stage;
}

static void read_question(Question *question)
{
    const char *word;
    for (size_t i = 0; (word = strtok(NULL, " \n")) && strcmp(word, ":") != 0; i++) {
        if (i == NUMBERS_MOST) exit(2);
        question->numbers[i] = strtod(word, NULL);
    }
    for (question->count = 0; (word = strtok(NULL, " \n")); question->count++) {
        if (question->count == STAGES_MOST) exit(2);
        question->stages[question->count] = next_stage(word);
    }
}

/* The verbs: what their numbers are stands beside each. */
static YieldStatus answer(const char *verb, const Question *question, double *result)
{
    const double *numbers = question->numbers;
    YieldStages stages = {question->stages, question->count};
    int64_t first = (int64_t)numbers[0], second = (int64_t)numbers[1], whole = 0;
    YieldStatus status = YIELD_NOT_COMPUTED;
    if (strcmp(verb, "chance") == 0) { /* STUCK WANTED */
        YieldBatch batch = yield_batch(stages, first);
        return yield_chance(&batch, second, result);
    }
    if (strcmp(verb, "counted") == 0) { /* STUCK WANTED LEAST MOST */
        YieldBatch batch = {stages, first, (int64_t)numbers[2], (int64_t)numbers[3]};
        return yield_chance(&batch, second, result);
    }
    if (strcmp(verb, "share") == 0) return yield_share_at_least(stages, numbers[0], result);    /* SHARE */
    if (strcmp(verb, "share-point") == 0) return yield_share_point(stages, numbers[0], result); /* PART */
    if (strcmp(verb, "alpha") == 0) return *result = question->stages[0].alpha, YIELD_COMPUTED;
    if (strcmp(verb, "beta") == 0) return *result = question->stages[0].beta, YIELD_COMPUTED;
    if (strcmp(verb, "mean") == 0) return *result = yield_share_mean(stages), YIELD_COMPUTED;
    if (strcmp(verb, "needed") == 0) { /* WANTED SURE, in percent */
        Number sure;
        if (!number_make(second, 100, &sure)) exit(2);
        status = yield_needed(stages, first, sure, &whole);
    } else if (strcmp(verb, "average") == 0) { /* WANTED */
        status = yield_on_average(stages, first, &whole);
    } else if (strcmp(verb, "point") == 0) { /* STUCK PART */
        YieldBatch batch = yield_batch(stages, first);
        status = yield_point(&batch, numbers[1], &whole);
    } else {
        exit(2);
    }
    return *result = (double)whole, status;
}

int main(void)
{
    char line[LINE_MOST];
    while (fgets(line, sizeof line, stdin)) {
        Question question = {0};
        const char *verb = strtok(line, " \n");
        if (!verb) return 2;
        read_question(&question);
        double result = 0;
        if (answer(verb, &question, &result) == YIELD_COMPUTED)
            printf("%.17g\n", result);
        else
            printf("none\n");
    }
    return 0;
}
