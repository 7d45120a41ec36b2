// The words that every lesson goes out with unless its teacher has written others. How a template is read stands in
// text_template.h.

#include "words/text_template.h"

namespace fretloom {

namespace {

constexpr std::string_view k_email =
    R"({# The e-mail. Words in braces are filled in for each lesson; all else is yours to change. docs/words.md lists them.}
Subject: New lesson{if title}: {title}{end}

Hello,

I have a new lesson for you{if title}: {title}{end}. {intro}

{about} {worth}

Take ten quiet minutes and a slow click, and start with the first idea. Only when it feels easy, go up a step.

{if enclosed}
Enclosed:
{each enclosed}
- {item}
{end}
{end}

{if links}
More to read and hear:
{each link}
- {item}
{end}
{end}

As always: {care}

{if author}
Have fun with it,
{author}
{end}
)";

constexpr std::string_view k_description =
    R"({# The text for the page where the lesson is published. One line is one paragraph.}
{title}
A lesson by {author}

{intro} {about}

{each idea}
{heading}
{note} {shape} {changes} {feels}

{end}
{if enclosed}
What you get
{each enclosed}
- {item}
{end}
{end}

{if links}
Links
{each link}
- {item}
{end}
{end}

Licence: {licence}
{copyright}

{caution}
)";

constexpr std::string_view k_script =
    R"({# What you say, show and play in the video. What is to be said has its numbers in words.}
Script{if title}: {title}{end}

Opening
Say:  Hello{if author}, this is {author}{end}. {intro}
Say:  {about}
Show: {music}

{each idea}
{heading}
Say:  {called}
Show: {frets}
Say:  {start}
Play: The first round, slowly.
Say:  {note}
Say:  {shape}
Show: Strokes {strokes}
Say:  {changes}
{each feel}
Show: The tab at {feel}.
Say:  {beat} {landing}
Play: {play}
{end}

{end}
Closing
Say:  Now it is your turn. {caution}
Say:  Have fun with it.
)";

}  // namespace

std::vector<TemplateFile> default_templates() {
  return {{TemplateKind::email, std::string(k_email)},
          {TemplateKind::description, std::string(k_description)},
          {TemplateKind::script, std::string(k_script)}};
}

}  // namespace fretloom
