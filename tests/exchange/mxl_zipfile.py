"""Prints what Python's own zipfile reads in an .mxl file: its entries in order with how they are stored and
when they are dated, the container's root file, and that file's text."""
import sys
import xml.etree.ElementTree
import zipfile

with zipfile.ZipFile(sys.argv[1]) as archive:
    assert archive.testzip() is None
    for entry in archive.infolist():
        stored = 'stored' if entry.compress_type == zipfile.ZIP_STORED else 'deflated'
        print('entry', entry.filename, stored, *entry.date_time)
    print('mimetype', archive.read('mimetype').decode())
    container = xml.etree.ElementTree.fromstring(archive.read('META-INF/container.xml'))
    root = container.find('rootfiles/rootfile')
    print('root', root.get('full-path'), root.get('media-type'))
    with open(sys.argv[2], 'wb') as out:
        out.write(archive.read(root.get('full-path')))
