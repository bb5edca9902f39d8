#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

/// Touchstone text as lines of words, without comments (private to this module).
namespace feldspar::circuit::detail {

struct Word {
  std::string_view text;
  int column = 0;  ///< from 1
};

/// One line that holds something.
struct TextLine {
  int number = 0;           ///< from 1
  int column = 0;           ///< of its first character
  bool option = false;      ///< "# ...": words are those after the "#"
  std::string keyword;      ///< of "[Keyword] ...", in small letters with single spaces; empty otherwise
  std::vector<Word> words;  ///< after the keyword where there is one
};

/// Complaints about one file.
class Complaints {
 public:
  explicit Complaints(std::string file) : file_(std::move(file)) {}
  /// @throws core::Error{model}; line 0: the file as a whole
  [[noreturn]] void fail(int line, int column, const std::string& message) const;
  [[noreturn]] void fail(const TextLine& line, const std::string& message) const;

 private:
  std::string file_;
};

/// Goes through a text line by line. The text and the complaints must outlive it.
class Lines {
 public:
  /// @throws core::Error{model} where the text holds bytes that no text has
  Lines(std::string_view text, const Complaints& complaints);

  /// The next line that holds something, or null at the end; valid until next().
  [[nodiscard]] const TextLine* peek();
  void next() { current_.reset(); }
  /// Skips to the line after the one with this keyword; false when there is none.
  [[nodiscard]] bool skip_past(std::string_view keyword);
  /// Number of the last line looked at, at least 1.
  [[nodiscard]] int last_number() const { return number_ > 0 ? number_ : 1; }

 private:
  [[nodiscard]] bool take_text(std::string_view& text);
  [[nodiscard]] TextLine split(std::string_view text) const;

  std::string_view rest_;
  const Complaints& complaints_;
  int number_ = 0;
  std::optional<TextLine> current_;
};

/// "7.1", "+1.5e-3" as a finite number. @throws core::Error{model}
[[nodiscard]] double number(const TextLine& line, const Word& word, const Complaints& complaints);

[[nodiscard]] std::string small_letters(std::string_view text);
/// A word as it may stand in a message: at most 40 characters, nothing but printable ASCII.
[[nodiscard]] std::string shown(std::string_view word);

}  // namespace feldspar::circuit::detail
