/* Courses of batches: a line a week with a small picture for people, a picture (SVG 1.1), CSV and JSON. */
#ifndef WRITE_COURSE_H
#define WRITE_COURSE_H

#include "analysis/course.h"
#include "base/buffer.h"

typedef struct CourseReport {
    Arena *arena;
    const Course *list;
    size_t count;
} CourseReport;

typedef void CourseWriter(Buffer *out, const CourseReport *report);
CourseWriter course_write_text, course_write_csv, course_write_json, course_write_svg;

#endif
