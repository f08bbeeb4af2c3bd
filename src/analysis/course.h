/* How many live and are rooted week by week, beside what was promised: of a batch, or of all of a protocol.
 *
 * A batch is followed from the day on which it was stuck to today: until the next count it is taken to be as
 * it was last counted, less what was taken off; what has ended stays as it was, and of what was given up
 * nothing lives. Weeks are whole weeks since sticking, to the last that any record has a line of. Batches
 * were not stuck on one day, so the share of a week is that of the week before times what is left of it in
 * the batches that are followed so far: the life table of Cutler and Ederer, Journal of Chronic Diseases 8
 * (1958), 699-712. What a protocol promises falls at the end of each stage, as the first batch is planned.
 */
#ifndef ANALYSIS_COURSE_H
#define ANALYSIS_COURSE_H

#include "analysis/ledger.h"
#include "analysis/survey.h"

enum { COURSE_WEEKS = 156 }; /* that are followed */

typedef struct CourseWeek {
    int64_t alive, of;      /* of so many stuck; `of` 0: nothing is followed so far */
    int64_t before;         /* of the same batches the week before, less what has gone to others since */
    double share;           /* alive, of those stuck */
    int64_t rooted;         /* by full counts that name them; -1: no batch has one yet */
    int64_t rooted_of;      /* stuck in the batches that have one */
    double low, mean, high; /* promised share: 5 % point, mean and 95 % point; mean < 0: nothing is */
} CourseWeek;

typedef struct Course {
    const char *name; /* of the batch or the protocol */
    size_t batches;
    int64_t stuck;
    bool mixed;        /* they were promised different things: no promise is that of all */
    CourseWeek *weeks; /* from week 0, the day of sticking */
    size_t week_count;
} Course;

/* Whether what is rooted is known of half of those followed: what fewer show may be one batch's luck. */
static inline bool course_roots_known(const CourseWeek *week)
{
    return week->rooted >= 0 && 2 * week->rooted_of >= week->of;
}

typedef struct Courses Courses;

/* `by_batch`: one course for each batch, else one for each protocol. `season`: only batches stuck in that
 * year; 0: all. */
Courses *courses_new(Arena *arena, Nursery *nursery, bool by_batch, int season);
SurveyVisit courses_batch; /* for a survey; `to` is the courses */
/* In the order of their names; *count of them. */
const Course *courses_list(Courses *courses, size_t *count);

#endif
