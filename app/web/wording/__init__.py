"""Every sentence that several pages say."""
