// Sheets onto paper, every millimetre a millimetre: the PDF itself goes to the file or to the print
// system, so lines stay lines and letters letters.
#pragma once

#include <QString>
#include <QStringList>

#include "viewer/window_services.h"

class QPrinter;

namespace holeward {

/// Prints every page to what the person chose: a PDF file is the very PDF of the pages, a printer
/// gets it through the print system. Only where the machine has no command for that do the pages go
/// as pictures. Empty: done. Else what went wrong, in words.
[[nodiscard]] QString PrintSheets(const SheetSet& set, QPrinter& printer, const FileWriter& write);

/// A printer known to the print system, and how often.
struct PrinterWish {
  QString name;
  int copies = 1;
};

enum class HandedOver {
  done,
  no_command,  ///< the machine has no `lp`
  refused
};
struct HandOver {
  HandedOver came = HandedOver::done;
  QString why;  ///< unless done, in words
};

/// Hands the pages as PDF to the print system: `lp` with print-scaling=none (PWG 5100.16), on one
/// side, pages of another size apart. Waits until it has taken them.
[[nodiscard]] HandOver HandToPrintSystem(const SheetSet& set, const PrinterWish& wish);

/// Paints every page as a picture of 600 dots an inch, each in its own size and nothing scaled.
/// Empty: done. Else what went wrong, in words.
[[nodiscard]] QString PrintAsPictures(const SheetSet& set, QPrinter& printer);

}  // namespace holeward
