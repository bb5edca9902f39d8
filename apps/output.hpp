#pragma once

#include <string>

#include "report/canvas.hpp"

/// Where results go.
namespace feldspar::app {

/// Complains early about a place that cannot be written, before anything is computed.
/// @throws core::Error{usage}
void check_writable(const std::string& path);

/// Through a symbolic link to the file it stands for, so that the link stays.
[[nodiscard]] std::string target_of(const std::string& path);

/// Writes the whole text or nothing: into a file beside the target, which then takes its name.
/// @throws core::Error{storage}
void write_file(const std::string& path, const std::string& text);

/// @throws core::Error{storage} when standard output takes no more
void write_standard_output(const std::string& text);

/// Whether standard output is a terminal that wants colour (NO_COLOR and TERM=dumb say no).
[[nodiscard]] bool wants_colour();

/// Braille and blocks where the locale's characters are UTF-8, unless plain ASCII is asked for.
[[nodiscard]] report::Strokes strokes_of(bool ascii);

/// Characters in a line of the terminal, at most 120; 80 where there is none.
[[nodiscard]] int screen_width();

}  // namespace feldspar::app
