struct PrinterPoints {
    offset: vec3f,
}

fn op_printer_points(p: PrinterPoints, rgb: vec3f) -> vec3f {
    return rgb + p.offset;
}
