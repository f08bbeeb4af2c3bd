/* Frames and letters of pictures: see svg.h. */
#include "write/svg.h"

enum { FONT = 12 };

static void xml(Buffer *out, Slice text)
{
    for (size_t i = 0; i < text.length; i++) {
        char c = text.at[i];
        if (c == '&')
            buffer_text(out, "&amp;");
        else if (c == '<')
            buffer_text(out, "&lt;");
        else
            buffer_char(out, c);
    }
}

void svg_begin(Buffer *out, int width, int height, const char *title, Slice told)
{
    buffer_print(out,
                 "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"%d\" height=\"%d\" viewBox=\"0 0 %d %d\" "
                 "font-family=\"sans-serif\" font-size=\"%d\" role=\"img\">\n<title>%s</title>\n<desc>",
                 width, height, width, height, FONT, title);
    xml(out, told);
    buffer_text(out, "</desc>\n<rect width=\"100%\" height=\"100%\" fill=\"#fff\"/>\n");
}

void svg_end(Buffer *out)
{
    buffer_text(out, "</svg>\n");
}

void svg_text(Buffer *out, double x, double y, const char *anchor, Slice text)
{
    buffer_print(out, "<text x=\"%.1f\" y=\"%.1f\" text-anchor=\"%s\">", x, y, anchor);
    xml(out, text);
    buffer_text(out, "</text>\n");
}
