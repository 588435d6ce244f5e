"""Sample sentences of a handout, and a way to put them into a PDF."""

from __future__ import annotations

import io
from collections.abc import Sequence

from reportlab.pdfgen.canvas import Canvas

from docbuilder.document.blocks import Run
from docbuilder.text import FontBook, TextBlock, layout, segments

RTL = {"ar", "ur", "he"}
SAMPLES = {
    "en": "Start with ten minutes a day. Stop ✓ if your skin is sore – call 020-555 0100. "
    "☐ ☑ ≥ ≤ → “office”",
    "es": "Coloque los electrodos detrás del tobillo. ¿Nota dolor? ¡Pare el aparato!",
    "ar": "اضبط الجهاز على \u206810\u00a0Hz\u2069 وعرض النبضة \u2068200\u00a0µs\u2069، ثم اتصل "
    "على \u2066020-555 0100\u2069 واسأل عن \u2068Ana López\u2069. تُضبط الشدة يومياً بحسب "
    "الإحساس (مريح) قبل النوم.",
    "ur": "اپنی جلد کو روزانہ دیکھیں۔ اگر جلن ہو تو آلہ بند کر دیں اور کلینک کو فون کریں۔ "
    "ٹانگ پر پیڈ لگائیں، گھنٹے گنیں۔",
    "he": "בדקו את העור כל יום. אם כואב, כבו את המכשיר \u206810\u00a0Hz\u2069 והתקשרו.",
    "hi": "हर दिन त्वचा की जाँच करें। यदि दर्द हो तो यंत्र बंद करें और क्लिनिक को फ़ोन करें। "
    "मूत्राशय \u206810\u00a0Hz\u2069",
    "bn": "প্রতিদিন ত্বক পরীক্ষা করুন। ব্যথা হলে যন্ত্রটি বন্ধ করুন এবং ক্লিনিকে ফোন করুন।",
    "pa": "ਹਰ ਰੋਜ਼ ਆਪਣੀ ਚਮੜੀ ਦੀ ਜਾਂਚ ਕਰੋ। ਜੇ ਦਰਦ ਹੋਵੇ ਤਾਂ ਯੰਤਰ ਬੰਦ ਕਰੋ ਅਤੇ ਕਲੀਨਿਕ ਨੂੰ ਫ਼ੋਨ ਕਰੋ।",
    "ru": "Проверяйте кожу каждый день. Если больно, выключите прибор и позвоните в клинику.",
    "vi": "Kiểm tra da mỗi ngày. Nếu thấy đau, hãy tắt máy và gọi cho phòng khám.",
    "ro": "Verificați pielea în fiecare zi. Dacă simțiți durere, opriți aparatul și sunați.",
    "el": "Ελέγχετε το δέρμα σας κάθε μέρα και καλέστε την κλινική.",
    "th": "ตรวจผิวหนัง\u200bทุกวัน\u200bหากเจ็บ\u200bให้ปิดเครื่อง\u200bแล้วโทรหาคลินิก",
    "zh": "每天检查皮肤。如果感到疼痛，请关闭设备并致电诊所（电话：\u2066020-555 0100\u2069）。",
    "ko": "매일 피부를 확인하십시오. 통증이 있으면 기기를 끄고 병원에 전화하십시오.",
}


def set_text(runs: str | Sequence[Run], language: str, **options: object) -> TextBlock:
    """Set a sample in lines of 300 points at 14 points."""
    wanted = {"width_pt": 300.0, "size_pt": 14.0} | options
    runs = (Run(runs),) if isinstance(runs, str) else runs
    return layout(runs, language=language, rtl=language in RTL, **wanted)  # type: ignore[arg-type]


def draw(*blocks: TextBlock) -> bytes:
    """Draw blocks one below the other on one page, from (50, 780)."""
    stream = io.BytesIO()
    canvas = Canvas(stream, pagesize=(400, 800), invariant=1)
    top = 780.0
    for block in blocks:
        for segment in segments(block, 50, top, FontBook.of(canvas)):
            canvas._code.append(segment.operators)
        top -= block.height_pt + 10
    canvas.save()
    return stream.getvalue()
