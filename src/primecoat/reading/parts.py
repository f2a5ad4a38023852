"""How every part and layer of an image file must be read, beside its main one."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice

from primecoat.images.header import ImageHeader
from primecoat.images.layers import Layer, layers_of, main_layer
from primecoat.reading import part_evidence
from primecoat.reading.evidence import WITNESSES
from primecoat.reading.judgement import ImageReading, PartReading
from primecoat.reading.policy import Policy
from primecoat.reading.weigh import weigh

_MOST_LAYERS = 4096
"""Parts and layers that are read; what a damaged header claims beyond is left out."""


def read_parts(
    image: ImageReading, policy: Policy, without: frozenset[str]
) -> tuple[PartReading, ...]:
    """Say how every part and layer must be read; none where the file holds one picture only.

    Of tiles and frames, those of the first file that can be read. The main part keeps the image's
    own judgement: scenes and persons speak of nothing else.

    Parameters
    ----------
    image
        The image as read so far.
    policy
        The weights.
    without
        Witnesses to leave unheard.
    """
    header = image.record.header
    if header is None or not header.part_headers:
        return ()
    main = main_layer(header)
    found = tuple(
        _read(image, header, index, layer, index == 0 and layer == main, policy, without)
        for index, layer in islice(_layers(header), _MOST_LAYERS)
    )
    return found if len(found) > 1 else ()


def _layers(header: ImageHeader) -> Iterator[tuple[int, Layer]]:
    for index, part in enumerate(header.part_headers):
        for layer in layers_of(part):
            yield index, layer


def _read(
    image: ImageReading,
    header: ImageHeader,
    index: int,
    layer: Layer,
    is_main: bool,
    policy: Policy,
    without: frozenset[str],
) -> PartReading:
    evidence, judgement = image.evidence, image.judgement
    if not is_main:
        heard = part_evidence.testify(image.record, header, index, layer, policy)
        evidence = tuple(
            sorted(
                (e for e in heard if e.witness not in without),
                key=lambda e: (WITNESSES.index(e.witness), bool(e.set_aside), -e.strength),
            )
        )
        judgement = weigh(evidence, policy)
    return PartReading(
        name=header.part_headers[index].name,
        index=index,
        layer=layer,
        is_main=is_main,
        judgement=judgement,
        evidence=evidence,
    )
