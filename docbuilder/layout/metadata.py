"""The XMP packet: title, language and the two standards that the file claims."""

from __future__ import annotations

from dataclasses import dataclass
from xml.sax.saxutils import escape

from docbuilder.layout.structure import spoken

__all__ = ["Description", "xmp_packet"]

# PDF/A lets a packet use only schemas that it knows or that the packet describes;
# ISO 19005-2, 6.6.2.3.3.
_UA_SCHEMA = """<rdf:Description rdf:about="" \
xmlns:pdfaExtension="http://www.aiim.org/pdfa/ns/extension/" \
xmlns:pdfaSchema="http://www.aiim.org/pdfa/ns/schema#" \
xmlns:pdfaProperty="http://www.aiim.org/pdfa/ns/property#">
<pdfaExtension:schemas><rdf:Bag><rdf:li rdf:parseType="Resource">
<pdfaSchema:schema>PDF/UA identification schema</pdfaSchema:schema>
<pdfaSchema:namespaceURI>http://www.aiim.org/pdfua/ns/id/</pdfaSchema:namespaceURI>
<pdfaSchema:prefix>pdfuaid</pdfaSchema:prefix>
<pdfaSchema:property><rdf:Seq><rdf:li rdf:parseType="Resource">
<pdfaProperty:name>part</pdfaProperty:name>
<pdfaProperty:valueType>Integer</pdfaProperty:valueType>
<pdfaProperty:category>internal</pdfaProperty:category>
<pdfaProperty:description>Part of ISO 14289 that the file keeps</pdfaProperty:description>
</rdf:li></rdf:Seq></pdfaSchema:property>
</rdf:li></rdf:Bag></pdfaExtension:schemas></rdf:Description>"""


@dataclass(frozen=True, slots=True)
class Description:
    """What the file says about itself; never a patient's name."""

    title: str
    subject: str
    language: str
    producer: str
    rtl: bool = False


def xmp_packet(described: Description) -> bytes:
    """Return the packet in UTF-8."""
    title, subject = escape(spoken(described.title)), escape(spoken(described.subject))
    about = (
        '<dc:description><rdf:Alt><rdf:li xml:lang="x-default">'
        f"{subject}</rdf:li></rdf:Alt></dc:description>\n"
        if subject
        else ""
    )
    return f"""<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/">
<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/" \
xmlns:pdfuaid="http://www.aiim.org/pdfua/ns/id/" \
xmlns:pdfaid="http://www.aiim.org/pdfa/ns/id/" \
xmlns:pdf="http://ns.adobe.com/pdf/1.3/">
<dc:format>application/pdf</dc:format>
<dc:title><rdf:Alt><rdf:li xml:lang="x-default">{title}</rdf:li></rdf:Alt></dc:title>
{about}<dc:language><rdf:Bag><rdf:li>{escape(described.language)}</rdf:li></rdf:Bag></dc:language>
<pdf:Producer>{escape(described.producer)}</pdf:Producer>
<pdfuaid:part>1</pdfuaid:part>
<pdfaid:part>2</pdfaid:part><pdfaid:conformance>U</pdfaid:conformance>
</rdf:Description>
{_UA_SCHEMA}
</rdf:RDF></x:xmpmeta>
<?xpacket end="r"?>""".encode()
