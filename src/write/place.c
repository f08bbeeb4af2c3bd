/* Lines and columns, counted in characters from 1. */
#include "write/place.h"

Place place_of(Span span)
{
    Place place = {.file = ""};
    if (!span.text) return place;
    Position begin = text_position(span.text, span.begin);
    Position end = text_position(span.text, span.end > span.begin ? span.end : span.begin);
    place.file = span.text->name;
    place.built_in = span.text->built_in;
    place.line = begin.line;
    place.column = begin.column;
    place.end_line = end.line;
    place.end_column = end.line == begin.line && end.column <= begin.column ? begin.column + 1 : end.column;
    return place;
}
