#include "viewer/window/printing.h"

#include <QImage>
#include <QPageSize>
#include <QPainter>
#include <QPrinter>
#include <QProcess>
#include <algorithm>
#include <cmath>
#include <numeric>

namespace holeward {
namespace {

constexpr double kPrintDots = 600 / 25.4;  // dots a mm on paper
constexpr int kPatience = 20000;           // ms the print system may take to answer

QString Shown(const std::string& text) { return QString::fromStdString(text); }

/// The paper a page lies on, upright: a page on its side is a sheet of paper turned.
QPageSize PaperOf(const ShownSheet& sheet) {
  const auto [across, up] = std::minmax({sheet.width, sheet.height});
  return QPageSize(QSizeF(across, up), QPageSize::Millimeter, "", QPageSize::FuzzyMatch);
}

/// As the print system calls it: "A4", or "Custom.610x1800mm". Nothing for a page that lies on both
/// A4 and Letter (210 x 279.4 mm, what they have in common): the paper the printer has will do.
QString MediaOf(const ShownSheet& sheet) {
  const QPageSize paper = PaperOf(sheet);
  if (paper.id() != QPageSize::Custom) return paper.key();
  const auto [across, up] = std::minmax({sheet.width, sheet.height});
  if (std::abs(across - 210.0) < 0.1 && std::abs(up - 279.4) < 0.1) return "";
  return QString("Custom.%1x%2mm").arg(across, 0, 'g', 7).arg(up, 0, 'g', 7);
}

QPageLayout LayoutOf(const ShownSheet& sheet) {
  const QSizeF size(sheet.width, sheet.height);
  return {QPageSize(size, QPageSize::Millimeter, "", QPageSize::FuzzyMatch), QPageLayout::Portrait,
          QMarginsF(0, 0, 0, 0), QPageLayout::Millimeter};
}

std::vector<std::size_t> Pages(std::size_t from, std::size_t to) {
  std::vector<std::size_t> pages(to - from);
  std::iota(pages.begin(), pages.end(), from);
  return pages;
}

HandOver HandPages(const std::string& pdf, const QString& media, const PrinterWish& wish) {
  QStringList words = {"-d", wish.name, "-n", QString::number(std::max(1, wish.copies))};
  words += {"-t", "Holeward", "-o", "print-scaling=none", "-o", "sides=one-sided"};
  if (!media.isEmpty()) words += {"-o", "media=" + media};
  QProcess lp;
  lp.start("lp", words);
  if (!lp.waitForStarted(kPatience)) {
    return {HandedOver::no_command, "This machine has no command lp."};
  }
  lp.write(pdf.data(), static_cast<qint64>(pdf.size()));
  lp.closeWriteChannel();
  if (!lp.waitForFinished(kPatience)) {
    lp.kill();
    lp.waitForFinished(kPatience);
    return {HandedOver::refused, "The print system does not answer."};
  }
  if (lp.exitStatus() == QProcess::NormalExit && lp.exitCode() == 0) return {};
  const QString said = QString::fromLocal8Bit(lp.readAllStandardError()).simplified();
  return {HandedOver::refused,
          "The print system did not take the pages" + (said.isEmpty() ? "." : ": " + said)};
}

}  // namespace

HandOver HandToPrintSystem(const SheetSet& set, const PrinterWish& wish) {
  std::size_t from = 0;
  while (from < set.pages.size()) {
    const QString media = MediaOf(set.pages[from]);
    std::size_t to = from + 1;
    while (to < set.pages.size() && MediaOf(set.pages[to]) == media) ++to;
    const auto pdf = set.pdf(Pages(from, to));
    HandOver handed = pdf ? HandPages(*pdf, media, wish)
                          : HandOver{HandedOver::refused, Shown(pdf.error().message)};
    if (handed.came != HandedOver::done) {
      if (from == 0) return handed;
      return {HandedOver::refused, QString("Only the first %1 of %2 pages are with the printer. %3")
                                       .arg(from)
                                       .arg(set.pages.size())
                                       .arg(handed.why)};
    }
    from = to;
  }
  return {};
}

QString PrintAsPictures(const SheetSet& set, QPrinter& printer) {
  printer.setFullPage(true);
  QPainter painter;
  for (std::size_t i = 0; i < set.pages.size(); ++i) {
    const ShownSheet& sheet = set.pages[i];
    printer.setPageLayout(LayoutOf(sheet));
    if (i == 0 ? !painter.begin(&printer) : !printer.newPage()) {
      return "The printer could not be started.";
    }
    const Bitmap page = sheet.draw(kPrintDots);
    if (page.width <= 0 || page.height <= 0) return "A page could not be drawn.";
    const QImage image(reinterpret_cast<const uchar*>(page.pixels.data()), page.width, page.height,
                       QImage::Format_RGB32);
    // In the printer's own dots: every millimetre of the page is one on the paper.
    const double dots = printer.resolution() / 25.4;
    painter.setRenderHint(QPainter::SmoothPixmapTransform, false);
    painter.drawImage(QRectF(0.0, 0.0, sheet.width * dots, sheet.height * dots),
                      image.convertToFormat(QImage::Format_Grayscale8));
  }
  painter.end();
  return printer.printerState() == QPrinter::Error ? "The printer reported an error." : "";
}

QString PrintSheets(const SheetSet& set, QPrinter& printer, const FileWriter& write) {
  if (set.pages.empty()) return "There is no page to print.";
  if (printer.outputFormat() == QPrinter::PdfFormat) {
    const auto pdf = set.pdf(Pages(0, set.pages.size()));
    if (!pdf) return Shown(pdf.error().message);
    const auto written = write(printer.outputFileName().toStdString(), *pdf);
    return written ? "" : Shown(written.error().message);
  }
  const HandOver handed = HandToPrintSystem(set, {printer.printerName(), printer.copyCount()});
  if (handed.came == HandedOver::no_command) return PrintAsPictures(set, printer);
  return handed.why;
}

}  // namespace holeward
