//! What a picture measures. Knows no GPU, no window and no file.
