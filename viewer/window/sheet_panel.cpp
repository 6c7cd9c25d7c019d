#include "viewer/window/sheet_panel.h"

#include <QCheckBox>
#include <QComboBox>
#include <QHBoxLayout>
#include <QImage>
#include <QLabel>
#include <QPrintDialog>
#include <QPrinter>
#include <QProgressBar>
#include <QPushButton>
#include <QScrollArea>
#include <QVBoxLayout>
#include <algorithm>
#include <cmath>
#include <utility>

#include "viewer/window/printing.h"

namespace holeward {
namespace {

constexpr double kLarge = 4.0;  // dots a mm on the screen, large

QImage ImageOf(const ShownSheet& sheet, double dots) {
  const Bitmap page = sheet.draw(dots);
  if (page.width <= 0 || page.height <= 0) return {};
  const QImage image(reinterpret_cast<const uchar*>(page.pixels.data()), page.width, page.height,
                     QImage::Format_RGB32);
  return image.convertToFormat(QImage::Format_Grayscale8);  // a copy of its own
}

}  // namespace

SheetPanel::SheetPanel(const WindowServices& services, QWidget* parent)
    : QWidget(parent),
      services_(services),
      page_(new QComboBox(this)),
      picture_(new QLabel),
      scroll_(new QScrollArea(this)),
      progress_(new QLabel(this)),
      bar_(new QProgressBar(this)),
      cancel_(new QPushButton("Cancel", this)),
      print_(new QPushButton("Print all pages at 100 %", this)),
      large_(new QCheckBox("Large", this)) {
  page_->setAccessibleName("Page");
  page_->setObjectName("page");
  print_->setObjectName("print");
  cancel_->setObjectName("cancel");
  progress_->setObjectName("progress");
  progress_->setWordWrap(true);
  scroll_->setWidget(picture_);
  scroll_->setAlignment(Qt::AlignCenter);
  bar_->setRange(0, 0);
  bar_->setTextVisible(false);
  bar_->setMaximumHeight(8);
  auto* top = new QHBoxLayout;
  top->addWidget(page_, 1);
  top->addWidget(large_);
  top->addWidget(print_);
  auto* bottom = new QHBoxLayout;
  bottom->addWidget(progress_, 1);
  bottom->addWidget(cancel_);
  auto* layout = new QVBoxLayout(this);
  layout->setContentsMargins(6, 6, 6, 6);
  layout->addLayout(top);
  layout->addWidget(scroll_, 1);
  layout->addWidget(bar_);
  layout->addLayout(bottom);
  Idle("");
  ask_printer = [this](QPrinter& printer) {
    QPrintDialog dialog(&printer, this);
    // All pages or none: a template is used whole.
    dialog.setOptions(QAbstractPrintDialog::PrintToFile | QAbstractPrintDialog::PrintShowPageSize);
    return dialog.exec() == QDialog::Accepted;
  };
  connect(page_, qOverload<int>(&QComboBox::currentIndexChanged), this,
          [this](int page) { ShowPage(page); });
  connect(large_, &QCheckBox::toggled, this, [this] { ShowPage(page_->currentIndex()); });
  connect(print_, &QPushButton::clicked, this, [this] { Print(); });
  connect(cancel_, &QPushButton::clicked, this, [this] {
    work_.AskToStop();
    progress_->setText("stopping");
  });
}

void SheetPanel::OutOfDate(const std::string& text) {
  if (text != text_) {
    to_print_ = false;
    issued_.clear();
  }
  text_ = text;
  picture_->setEnabled(Present());  // a page of an older job is greyed
}

void SheetPanel::SetJob(const std::string& text, const std::string& file) {
  OutOfDate(text);
  file_ = file;
  MakeIfWanted();
}

void SheetPanel::showEvent(QShowEvent* event) {
  QWidget::showEvent(event);
  MakeIfWanted();
}

void SheetPanel::MakeIfWanted() {
  if (isVisible() && !issuing_ && made_of_ != text_) Make();
}

void SheetPanel::resizeEvent(QResizeEvent* event) {
  QWidget::resizeEvent(event);
  FitMessage();
  if (!large_->isChecked()) ShowPage(page_->currentIndex());
}

void SheetPanel::Busy(const QString& what) {
  progress_->setText(what);
  bar_->show();
  cancel_->show();
}

void SheetPanel::Idle(const QString& message) {
  progress_->setText(message);
  bar_->hide();
  cancel_->hide();
  FitMessage();
}

void SheetPanel::FitMessage() {
  // A layout within a layout gives a wrapped line less height than it asks for.
  const int width = scroll_->width() - (cancel_->isVisible() ? cancel_->width() : 0);
  progress_->setMinimumHeight(std::max(0, progress_->heightForWidth(std::max(100, width))));
}

void SheetPanel::Make() {
  if (!services_.sheets) return;
  Busy("laying out the pages");
  made_of_ = text_;
  const unsigned number = ++number_;
  work_.Start([this, number, text = text_, file = file_](const std::stop_token& stop) {
    auto sheets = services_.sheets(text, file, Telling(stop));
    QMetaObject::invokeMethod(
        this, [this, number, sheets = std::move(sheets)] { Took(sheets, number); },
        Qt::QueuedConnection);
  });
}

Progress SheetPanel::Telling(const std::stop_token& stop) {
  return [this, stop](const std::string& what) {
    QMetaObject::invokeMethod(
        this,
        [this, stop, what] {
          if (!stop.stop_requested()) progress_->setText(QString::fromStdString(what));
        },
        Qt::QueuedConnection);
    return stop.stop_requested();
  };
}

void SheetPanel::Took(Result<SheetSet> sheets, unsigned number) {
  if (number != number_) return;
  if (!sheets) {
    sheets_ = {};
    page_->clear();
    picture_->clear();
    made_of_.clear();
    to_print_ = false;
    shown_of_.clear();
    Idle(QString::fromStdString(sheets.error().message));
    return;
  }
  const int before = std::max(0, page_->currentIndex());
  sheets_ = std::move(*sheets);
  shown_of_ = made_of_;
  picture_->setEnabled(Present());
  page_->blockSignals(true);
  page_->clear();
  for (const ShownSheet& sheet : sheets_.pages) page_->addItem(QString::fromStdString(sheet.title));
  page_->setCurrentIndex(std::min(before, page_->count() - 1));
  page_->blockSignals(false);
  Idle(sheets_.pages.empty() ? "The job has no template yet: add one." : issued_);
  ShowPage(page_->currentIndex());
  if (to_print_ && Present()) Print();
}

void SheetPanel::ShowPage(int page) {
  print_->setEnabled(!sheets_.pages.empty());
  if (page < 0 || static_cast<std::size_t>(page) >= sheets_.pages.size()) return;
  const ShownSheet& sheet = sheets_.pages[static_cast<std::size_t>(page)];
  const QSize room = scroll_->maximumViewportSize();
  const double whole =
      std::min((room.width() - 4.0) / sheet.width, (room.height() - 4.0) / sheet.height);
  const double fine = devicePixelRatioF();
  const double dots = large_->isChecked() ? kLarge : std::max(0.5, whole);
  QImage image = ImageOf(sheet, dots * fine);
  image.setDevicePixelRatio(fine);
  picture_->setPixmap(QPixmap::fromImage(image));
  picture_->resize(image.size() / fine);
}

bool SheetPanel::Present() const { return !sheets_.pages.empty() && shown_of_ == text_; }

void SheetPanel::Print() {
  to_print_ = !Present();
  if (to_print_) {
    progress_->setText("The printer is asked for once the pages are laid out.");
    return;
  }
  QPrinter printer(QPrinter::HighResolution);
  printer.setFullPage(true);
  if (!ask_printer(printer)) return;
  const QString wrong = PrintSheets(sheets_, printer, services_.write);
  const bool on_paper = printer.outputFormat() == QPrinter::NativeFormat;
  const QString done = on_paper
                           ? "Printed at 100 %. Measure the check bars before a sheet is used."
                           : "Written. Print it at 100 % with scaling off, and measure the bars.";
  Idle(wrong.isEmpty() ? done : wrong);
}

void SheetPanel::Issue(const std::string& job, const std::string& folder) {
  if (!services_.issue) return;
  if (issuing_) {
    if (on_message) on_message("A set is being issued already: wait for it, or cancel it.");
    return;
  }
  issuing_ = true;
  issued_.clear();
  Busy("issuing the set");
  ++number_;
  made_of_ = shown_of_;  // pages being laid out are given up for now
  to_print_ = false;
  work_.Start([this, job, folder](const std::stop_token& stop) {
    const auto done = services_.issue(job, folder, Telling(stop));
    const QString words = QString::fromStdString(done ? *done : done.error().message);
    QMetaObject::invokeMethod(
        this, [this, words] { Issued(words); }, Qt::QueuedConnection);
  });
}

void SheetPanel::Issued(const QString& words) {
  issuing_ = false;
  issued_ = words;
  Idle(words);
  if (on_message) on_message(words);
  MakeIfWanted();
}

}  // namespace holeward
