/* Mending files: see mend.h. */
#include "cmd/mend.h"

#include <string.h>

/* Of a file of the house that lies on disk. A cell of a table has no mend. */
static bool has_mend(const Note *note)
{
    Span span = note->place[0].span;
    return note->mend && span.text && !span.text->built_in && span.text->first_line == 1 &&
           span.end > span.begin && strcmp(span.text->name, "-");
}

/* The file's bytes with the words put in their places. */
static Slice mended(Job *job, const Text *text, Note *const *notes, size_t count)
{
    Buffer *out = buffer_in_memory(job->arena);
    uint32_t at = 0;
    for (size_t i = 0; i < count; i++) {
        Span span = notes[i]->place[0].span;
        buffer_bytes(out, text->bytes + at, span.begin - at);
        buffer_text(out, notes[i]->mend);
        at = span.end;
    }
    buffer_bytes(out, text->bytes + at, text->length - at);
    return buffer_slice_of(out);
}

static void tell(Job *job, const Note *note)
{
    Span span = note->place[0].span;
    Position position = text_position(span.text, span.begin);
    buffer_escaped(job->errors, slice_of(span.text->name));
    buffer_print(job->errors, ":%u:%u: mended: ", position.line, position.column);
    buffer_escaped(job->errors, span_slice(span));
    buffer_text(job->errors, " -> ");
    buffer_escaped(job->errors, slice_of(note->mend));
    buffer_char(job->errors, '\n');
}

static size_t mend_file(Job *job, Note *const *notes, size_t count)
{
    const Text *text = notes[0]->place[0].span.text;
    if (!job_rewrite(job, text, mended(job, text, notes, count))) return 0;
    for (size_t i = 0; i < count; i++) tell(job, notes[i]);
    return count;
}

size_t mend_files(Job *job)
{
    size_t count, mended = 0, kept = 0;
    Note *const *all = notes_sorted(job->notes, &count);
    Note **notes = ARENA_ARRAY(job->arena, Note *, count);
    for (size_t i = 0; i < count; i++) {
        bool again = kept && has_mend(all[i]) &&
                     all[i]->place[0].span.text == notes[kept - 1]->place[0].span.text &&
                     all[i]->place[0].span.begin < notes[kept - 1]->place[0].span.end;
        if (has_mend(all[i]) && !again) notes[kept++] = all[i];
    }
    for (size_t i = 0, next; i < kept; i = next) {
        for (next = i + 1; next < kept && notes[next]->place[0].span.text == notes[i]->place[0].span.text;)
            next++;
        mended += mend_file(job, &notes[i], next - i);
    }
    buffer_flush(job->errors);
    return mended;
}
