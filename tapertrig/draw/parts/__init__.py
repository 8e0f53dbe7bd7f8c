"""What scenes are made of: picture, labels, style, and the parts of the machine."""
